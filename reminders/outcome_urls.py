"""Addresses of outcome measures: the client's own page and the clinic's."""

from __future__ import annotations

from django.urls import path

from reminders import outcome_pages, question_pages

urlpatterns = [
    path("q/<str:token>", question_pages.page, name="questions"),
    path(
        "clients/<uuid:client_id>/outcomes/<str:measure>",
        outcome_pages.outcome,
        name="client_outcome",
    ),
    path(
        "clients/<uuid:client_id>/outcomes/<str:measure>/ask",
        outcome_pages.ask,
        name="outcome_ask",
    ),
    path(
        "clients/<uuid:client_id>/outcomes/<uuid:outcome_id>/void",
        outcome_pages.void,
        name="outcome_void",
    ),
]
