"""Addresses of the API of outcome measures."""

from __future__ import annotations

from django.urls import path

from reminders import api_outcomes

urlpatterns = [
    path("clients/<uuid:client_id>/outcomes", api_outcomes.Outcomes.as_view()),
    path(
        "clients/<uuid:client_id>/outcomes/<uuid:outcome_id>/void",
        api_outcomes.Voiding.as_view(),
    ),
    path("clients/<uuid:client_id>/outcome-asks", api_outcomes.Asks.as_view()),
]
