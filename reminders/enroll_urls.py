"""Addresses of the front desk: enrolling, numbers, tasks; and the editor's counts."""

from __future__ import annotations

from django.urls import path

from reminders import desk_pages, enroll_pages, preview_pages

urlpatterns = [
    path("enroll", enroll_pages.enroll, name="enroll"),
    path(
        "clients/<uuid:client_id>/number",
        enroll_pages.change_number,
        name="client_number",
    ),
    path(
        "clients/<uuid:client_id>/clinician",
        enroll_pages.change_clinician,
        name="client_clinician",
    ),
    path("desk", desk_pages.tasks, name="desk"),
    path("desk/<uuid:task_id>/close", desk_pages.close, name="desk_close"),
    path(
        "clients/<uuid:client_id>/program/preview",
        preview_pages.program_preview,
        name="program_preview",
    ),
    path("programs/preview", preview_pages.template_preview, name="template_preview"),
]
