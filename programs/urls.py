"""Addresses of the programs app."""

from __future__ import annotations

from django.urls import path

from programs import handout_pages, pages, program_pages, template_pages

urlpatterns = [
    path("exercises", pages.exercises, name="exercises"),
    path("exercises/<str:code>", pages.exercise, name="exercise"),
    path("programs", template_pages.programs, name="programs"),
    path("programs/new", template_pages.template_new, name="template_new"),
    path("programs/<uuid:template_id>", template_pages.template, name="template"),
    path(
        "programs/<uuid:template_id>/draft",
        template_pages.template_edit,
        name="template_edit",
    ),
    path(
        "programs/<uuid:template_id>/retire",
        template_pages.template_retire,
        name="template_retire",
    ),
    path(
        "programs/versions/<uuid:version_id>/publish",
        template_pages.version_publish,
        name="version_publish",
    ),
    path(
        "clients/<uuid:client_id>/program",
        program_pages.program_edit,
        name="program_edit",
    ),
    path(
        "clients/<uuid:client_id>/program/new",
        program_pages.program_new,
        name="program_new",
    ),
    path(
        "clients/<uuid:client_id>/handout",
        handout_pages.handout_page,
        name="handout",
    ),
    path(
        "home-programs/<uuid:program_id>/pause",
        program_pages.program_pause,
        name="program_pause",
    ),
    path(
        "home-programs/<uuid:program_id>/go-on",
        program_pages.program_go_on,
        name="program_go_on",
    ),
    path(
        "home-programs/<uuid:program_id>/stop",
        program_pages.program_stop,
        name="program_stop",
    ),
]
