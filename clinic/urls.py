"""Addresses: this app's own, the upper apps' by name."""

from __future__ import annotations

from allauth.account import views as account
from django.urls import include, path, re_path

from clinic import (
    audit_pages,
    endpoints,
    pages,
    settings_pages,
    site_pages,
    staff_pages,
)

accounts = [
    path("login/", account.login, name="account_login"),
    path("logout/", account.logout, name="account_logout"),
    path("signup/", account.signup, name="account_signup"),
    path("password/change/", account.password_change, name="account_change_password"),
    path("password/reset/", account.password_reset, name="account_reset_password"),
    path(
        "password/reset/done/",
        account.password_reset_done,
        name="account_reset_password_done",
    ),
    path(
        "password/reset/key/<uidb36>-<key>/",
        account.password_reset_from_key,
        name="account_reset_password_from_key",
    ),
    path(
        "password/reset/key/done/",
        account.password_reset_from_key_done,
        name="account_reset_password_from_key_done",
    ),
    path("inactive/", account.account_inactive, name="account_inactive"),
    path("reauthenticate/", account.reauthenticate, name="account_reauthenticate"),
]

handler500 = "clinic.problems.server_error"
urlpatterns = [
    path("accounts/", include(accounts)),
    path("", pages.home, name="home"),
    path("healthz", pages.healthz, name="healthz"),
    path("clients", pages.clients, name="clients"),
    path("sites", site_pages.sites, name="sites"),
    path("sites/new", site_pages.site_new, name="site_new"),
    path("sites/<uuid:site_id>", site_pages.site, name="site"),
    path("sites/<uuid:site_id>/details", site_pages.site_details, name="site_details"),
    path("sites/<uuid:site_id>/close", site_pages.closure_add, name="closure_add"),
    path("sites/<uuid:site_id>/open", site_pages.closure_remove, name="closure_remove"),
    path("sites/<uuid:site_id>/on-call", site_pages.on_call, name="on_call"),
    path("staff", staff_pages.staff_list, name="staff"),
    path("staff/add", staff_pages.staff_add, name="staff_add"),
    path("staff/<uuid:staff_id>", staff_pages.staff_member, name="staff_member"),
    path("staff/<uuid:staff_id>/grant", staff_pages.staff_grant, name="staff_grant"),
    path(
        "staff/<uuid:staff_id>/close", staff_pages.staff_deactivate, name="staff_close"
    ),
    path("roles/<uuid:grant_id>/revoke", staff_pages.staff_revoke, name="role_revoke"),
    path("settings", settings_pages.settings, name="settings"),
    path("settings/devices", settings_pages.token_issue, name="token_issue"),
    path(
        "settings/devices/<uuid:token_id>/revoke",
        settings_pages.token_revoke,
        name="token_revoke",
    ),
    path("audit", audit_pages.audit_list, name="audit"),
    path("audit/verify", audit_pages.audit_verify, name="audit_verify"),
    path("api/v1/", include("clinic.api_urls")),
    path("api/v1/", include("programs.api_urls")),
    path("api/v1/", include("reminders.api_urls")),
    path("api/v1/", include("reminders.outcome_api_urls")),
    re_path(r"^api/", endpoints.NoSuchAddress.as_view()),
    path("", include("reminders.urls")),
    path("", include("reminders.enroll_urls")),
    path("", include("reminders.outcome_urls")),
    path("", include("programs.urls")),
]
