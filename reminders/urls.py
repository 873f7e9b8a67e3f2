"""Addresses of the reminders app."""

from __future__ import annotations

from django.urls import path

from reminders import webhooks

urlpatterns = [
    path("sms/inbound", webhooks.inbound, name="sms_inbound"),
    path("sms/status", webhooks.status, name="sms_status"),
]
