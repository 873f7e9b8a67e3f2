"""Programs and templates on somebody's behalf; starts from the clients they may see.

Each function returns rows for the named operation or raises NotYours (404).
"""

from __future__ import annotations

from uuid import UUID

from django.db.models import Prefetch, QuerySet

from clinic import access
from clinic.errors import NotYours
from clinic.models import Client, Staff
from programs.models import (
    AssessmentRecord,
    Decision,
    HomeProgram,
    ProgramRevision,
    SessionReport,
    Template,
    TemplateVersion,
)


def programs(staff: Staff, operation: str) -> QuerySet[HomeProgram]:
    """The programs of the clients on whose sites the person holds the operation."""
    rows = HomeProgram.objects.filter(client__in=access.clients(staff, operation))
    return rows.select_related("client__site", "client__clinician")


def program(staff: Staff, program_id: UUID, operation: str) -> HomeProgram:
    """One program with its client, or NotYours."""
    row = programs(staff, operation).filter(pk=program_id).first()
    if row is None:
        raise NotYours
    return row


def revisions(
    staff: Staff, program_id: UUID, operation: str
) -> QuerySet[ProgramRevision]:
    """Every revision of one program, newest first, with items and authors."""
    rows = program(staff, program_id, operation).revisions
    return rows.select_related("author").prefetch_related("items").order_by("-number")


def templates(staff: Staff, operation: str) -> QuerySet[Template]:
    """The organization's templates with their versions, for people who may see them."""
    access.require(staff, operation)
    versions = TemplateVersion.objects.select_related("author").order_by("number")
    return Template.objects.order_by("name").prefetch_related(
        Prefetch("versions", queryset=versions)
    )


def template(staff: Staff, template_id: UUID, operation: str) -> Template:
    """One template, or NotYours."""
    row = templates(staff, operation).filter(pk=template_id).first()
    if row is None:
        raise NotYours
    return row


def template_version(staff: Staff, version_id: UUID, operation: str) -> TemplateVersion:
    """One version of a template, or NotYours."""
    access.require(staff, operation)
    rows = TemplateVersion.objects.select_related("template", "author")
    row = rows.filter(pk=version_id).first()
    if row is None:
        raise NotYours
    return row


def reports(staff: Staff, operation: str) -> QuerySet[SessionReport]:
    """The reports of the clients on whose sites the person holds the operation."""
    return SessionReport.objects.filter(client__in=access.clients(staff, operation))


def assessments_of(client: Client) -> QuerySet[AssessmentRecord]:
    """What was made of a client's reports; the client came from `clinic.access`."""
    return AssessmentRecord.objects.filter(client=client)


def decisions_of(client: Client) -> QuerySet[Decision]:
    """What was decided about a client; the client came from `clinic.access`."""
    return Decision.objects.filter(client=client).select_related("author")
