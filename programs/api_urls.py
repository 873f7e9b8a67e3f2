"""Addresses of the API of exercises, templates, programs and reports."""

from __future__ import annotations

from django.urls import path

from programs import api, api_programs, api_reports

urlpatterns = [
    path("exercises", api.Exercises.as_view()),
    path("exercises/<str:code>", api.OneExercise.as_view()),
    path("decision-table", api.DecisionTable.as_view()),
    path("templates", api.Templates.as_view()),
    path("templates/<uuid:template_id>", api.OneTemplate.as_view()),
    path("templates/<uuid:template_id>/versions", api.Versions.as_view()),
    path("templates/<uuid:template_id>/retirement", api.Retiring.as_view()),
    path("template-versions/<uuid:version_id>/publication", api.Publishing.as_view()),
    path("clients/<uuid:client_id>/programs", api_programs.ClientPrograms.as_view()),
    path("clients/<uuid:client_id>/reports", api_reports.Reports.as_view()),
    path("clients/<uuid:client_id>/assessments", api_reports.Assessments.as_view()),
    path("clients/<uuid:client_id>/decisions", api_reports.Decisions.as_view()),
    path("programs/<uuid:program_id>", api_programs.OneProgram.as_view()),
    path("programs/<uuid:program_id>/revisions", api_programs.Revisions.as_view()),
    path("programs/<uuid:program_id>/hold", api_programs.Hold.as_view()),
    path("programs/<uuid:program_id>/pause", api_programs.Pause.as_view()),
    path("programs/<uuid:program_id>/go-on", api_programs.GoOn.as_view()),
    path("programs/<uuid:program_id>/stop", api_programs.Stop.as_view()),
]
