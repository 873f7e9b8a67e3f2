"""Addresses of the reminders app."""

from __future__ import annotations

from django.urls import path

from reminders import (
    client_pages,
    dose_pages,
    pages,
    phone_pages,
    snooze_pages,
    webhooks,
)

urlpatterns = [
    path("triage", pages.morning_list, name="triage"),
    path("alerts/<uuid:alert_id>", pages.alert_card, name="alert_card"),
    path(
        "alerts/<uuid:alert_id>/acknowledge",
        pages.acknowledge,
        name="alert_acknowledge",
    ),
    path("alerts/<uuid:alert_id>/snooze", snooze_pages.snooze, name="alert_snooze"),
    path("alerts/<uuid:alert_id>/return", snooze_pages.bring_back, name="alert_return"),
    path("p/<slug:code>", snooze_pages.paged, name="paged"),
    path("clients/<uuid:client_id>", client_pages.client, name="client"),
    path("clients/<uuid:client_id>/decide", pages.decide, name="client_decide"),
    path("clients/<uuid:client_id>/texts", client_pages.write_text, name="client_text"),
    path(
        "clients/<uuid:client_id>/texts/preview",
        client_pages.preview_text,
        name="client_text_preview",
    ),
    path(
        "clients/<uuid:client_id>/end", client_pages.end_texts, name="client_end_texts"
    ),
    path(
        "clients/<uuid:client_id>/reports/<uuid:report_id>/void",
        client_pages.void_report,
        name="report_void",
    ),
    path(
        "clients/<uuid:client_id>/suggestions/<uuid:suggestion_id>",
        dose_pages.answer,
        name="suggestion_answer",
    ),
    path("clients/<uuid:client_id>/holds", dose_pages.approve, name="hold_approve"),
    path(
        "clients/<uuid:client_id>/holds/<uuid:step_id>/undo",
        dose_pages.undo,
        name="hold_undo",
    ),
    path("clients/<uuid:client_id>/load", dose_pages.fix_load, name="load_fix"),
    path("clients/<uuid:client_id>/what-if", dose_pages.what_if, name="client_what_if"),
    path("phones", phone_pages.phones, name="phones"),
    path("phones/answer", phone_pages.answer, name="phones_answer"),
    path("phones/clock", phone_pages.move_clock, name="phones_clock"),
    path("sms/inbound", webhooks.inbound, name="sms_inbound"),
    path("sms/status", webhooks.status, name="sms_status"),
]
