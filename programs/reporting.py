"""Reports: a client's own by text, a clinician's in person. Written once, voidable."""

from __future__ import annotations

from datetime import datetime

from django.db import IntegrityError, transaction

from clinic import audit
from clinic.errors import BadInput, Conflict
from clinic.models import Client, Staff
from programs.logic.reports import SymptomReport
from programs.models import HomeProgram, SessionReport
from programs.models.reports import IN_PERSON, TEXT


@transaction.atomic
def record(
    client: Client,
    report: SymptomReport,
    *,
    program: HomeProgram | None,
    key: str,
    actor: Staff | str,
    now: datetime,
    source: str = TEXT,
) -> SessionReport:
    """Store a report; the same key a second time gives the row that is there.

    A key that another client's report has is refused: giving that row back would
    show one client's symptoms under another's name.
    """
    known = SessionReport.objects.filter(key=key).first()
    if known:
        return _same_client(known, client)
    row = SessionReport(
        organization_id=client.organization_id,
        client=client,
        program=program,
        key=key,
        source=source,
        at=report.at,
        completion=report.completion or "",
        pain=report.pain,
        overall=report.overall or "",
        areas=dict(report.areas),
        side=report.side or "",
        shift=report.shift or "",
        pain_by_area=dict(report.pain_by_area),
        sensation=dict(report.sensation),
    )
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError:
        return _same_client(SessionReport.objects.get(key=key), client)
    audit.record("report.recorded", row, actor=actor, at=now, client=client.id)
    return row


def record_in_person(
    client: Client,
    report: SymptomReport,
    *,
    program: HomeProgram | None,
    key: str,
    by: Staff,
    now: datetime,
) -> SessionReport:
    """What the clinician heard or saw in the room."""
    if report.at > now:
        raise BadInput("A report cannot lie in the future.", field="at")
    return record(
        client,
        report,
        program=program,
        key=key,
        actor=by,
        now=now,
        source=IN_PERSON,
    )


@transaction.atomic
def void(row: SessionReport, *, reason: str, by: Staff, now: datetime) -> None:
    """Take a report out of the assessment with a reason; it stays on the record."""
    if not reason.strip():
        raise BadInput("Say why the report does not count.", field="reason")
    if row.voided_at is not None:
        raise Conflict("This report is voided already.")
    row.voided_at, row.void_reason = now, reason.strip()
    row.save(update_fields=["voided_at", "void_reason"])
    audit.record("report.voided", row, actor=by, at=now, client=row.client_id)


def value_of(row: SessionReport) -> SymptomReport:
    """The row as the value the logic reads."""
    return SymptomReport(
        at=row.at,
        pain=row.pain,
        areas=row.areas,
        side=row.side or None,
        overall=row.overall or None,
        shift=row.shift or None,
        completion=row.completion or None,
        pain_by_area=row.pain_by_area,
        sensation=row.sensation,
    )


def _same_client(known: SessionReport, client: Client) -> SessionReport:
    if known.client_id != client.pk:
        raise Conflict("Another report has this key: make a new one.")
    return known
