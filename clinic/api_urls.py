"""Addresses of the API of people and places."""

from __future__ import annotations

from django.urls import path

from clinic import api, api_clients, api_sites, api_staff

urlpatterns = [
    path("me", api.Me.as_view()),
    path("tokens", api.Tokens.as_view()),
    path("tokens/<uuid:token_id>", api.Token.as_view()),
    path("audit", api.Audit.as_view()),
    path("schema", api.Documentation.as_view(), name="api_schema"),
    path("sites", api_sites.Sites.as_view()),
    path("sites/<uuid:site_id>", api_sites.OneSite.as_view()),
    path("sites/<uuid:site_id>/clinicians", api_sites.Clinicians.as_view()),
    path("sites/<uuid:site_id>/closures", api_sites.Closures.as_view()),
    path("sites/<uuid:site_id>/closures/<str:day>", api_sites.Closure.as_view()),
    path("sites/<uuid:site_id>/on-call", api_sites.OnCall.as_view()),
    path("staff", api_staff.Staff.as_view()),
    path("staff/<uuid:staff_id>", api_staff.StaffMember.as_view()),
    path("staff/<uuid:staff_id>/deactivation", api_staff.StaffClosing.as_view()),
    path("staff/<uuid:staff_id>/roles", api_staff.Roles.as_view()),
    path("staff/<uuid:staff_id>/roles/<uuid:grant_id>", api_staff.Role.as_view()),
    path("clients", api_clients.Clients.as_view()),
    path("clients/search", api_clients.ClientSearch.as_view()),
    path("clients/<uuid:client_id>", api_clients.OneClient.as_view()),
    path("clients/<uuid:client_id>/consent", api_clients.Consent.as_view()),
]
