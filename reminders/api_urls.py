"""Addresses of the API of enrolling, triage, alerts, texts and desk tasks."""

from __future__ import annotations

from django.urls import path

from reminders import api, api_alerts, api_dose, api_messages

urlpatterns = [
    path("enrollments", api.Enrollments.as_view()),
    path("clients/<uuid:client_id>/number", api.Number.as_view()),
    path("clients/<uuid:client_id>/opt-out", api.OptOut.as_view()),
    path("clients/<uuid:client_id>/decide", api_alerts.ClientDeciding.as_view()),
    path("clients/<uuid:client_id>/messages", api_messages.Messages.as_view()),
    path(
        "clients/<uuid:client_id>/messages/preview",
        api_messages.MessagePreview.as_view(),
    ),
    path(
        "clients/<uuid:client_id>/reports/<uuid:report_id>/void",
        api.Voiding.as_view(),
    ),
    path("clients/<uuid:client_id>/suggestions", api_dose.Suggestions.as_view()),
    path(
        "clients/<uuid:client_id>/suggestions/<uuid:suggestion_id>/answer",
        api_dose.Answering.as_view(),
    ),
    path("clients/<uuid:client_id>/holds", api_dose.Holds.as_view()),
    path("clients/<uuid:client_id>/hold-steps", api_dose.HoldSteps.as_view()),
    path(
        "clients/<uuid:client_id>/hold-steps/<uuid:step_id>/undo",
        api_dose.Undoing.as_view(),
    ),
    path("clients/<uuid:client_id>/adherence", api_dose.Adherence.as_view()),
    path("clients/<uuid:client_id>/load", api_dose.Load.as_view()),
    path("clients/<uuid:client_id>/what-if", api_dose.WhatIf.as_view()),
    path("triage", api_alerts.Triage.as_view()),
    path("alerts", api_alerts.Alerts.as_view()),
    path("alerts/<uuid:alert_id>", api_alerts.OneAlert.as_view()),
    path("alerts/<uuid:alert_id>/acknowledge", api_alerts.Acknowledging.as_view()),
    path("alerts/<uuid:alert_id>/snooze", api_alerts.Snoozing.as_view()),
    path("alerts/<uuid:alert_id>/return", api_alerts.Returning.as_view()),
    path("alerts/<uuid:alert_id>/decide", api_alerts.AlertDeciding.as_view()),
    path("desk-tasks", api_messages.DeskTasks.as_view()),
    path("desk-tasks/<uuid:task_id>/done", api_messages.DeskTaskClosing.as_view()),
]
