"""Addresses: this app's own, the upper apps' by name."""

from __future__ import annotations

from allauth.account import views as account
from django.urls import include, path

from clinic import pages

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

urlpatterns = [
    path("accounts/", include(accounts)),
    path("", pages.home, name="home"),
    path("healthz", pages.healthz, name="healthz"),
    path("", include("reminders.urls")),
    path("", include("programs.urls")),
]
