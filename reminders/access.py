"""Alerts and texts on somebody's behalf; starts from the sites they may see."""

from __future__ import annotations

from uuid import UUID

from django.db.models import Q, QuerySet

from clinic import access
from clinic.errors import NotYours
from clinic.models import Staff
from programs import questions
from programs.models import HoldStep, KeptSuggestion, Outcome, SessionReport
from reminders.models import Alert, DeskTask


def alert(staff: Staff, alert_id: UUID, operation: str) -> Alert:
    """One alert with its client, or NotYours."""
    rows = Alert.objects.filter(site__in=access.sites(staff, operation))
    found: Alert | None = _with_people(rows).filter(pk=alert_id).first()
    if found is None:
        raise NotYours
    return found


def paged_alert(staff: Staff, code: str, operation: str) -> Alert:
    """The alert that a page to staff names by its code, or NotYours.

    The code is a name, no key: only who may see the alert anyway finds it.
    """
    rows = Alert.objects.filter(site__in=access.sites(staff, operation))
    found: Alert | None = _with_people(rows).filter(page_code=code).first()
    if found is None:
        raise NotYours
    return found


def _with_people(rows: QuerySet[Alert]) -> QuerySet[Alert]:
    return rows.select_related(
        "site", "client__site", "client__clinician", "acknowledged_by", "snoozed_by"
    )


def report(
    staff: Staff, client_id: UUID, report_id: UUID, operation: str
) -> SessionReport:
    """One report of one client, or NotYours."""
    client = access.client(staff, client_id, operation)
    rows = SessionReport.objects.filter(client=client).select_related("client")
    found: SessionReport | None = rows.filter(pk=report_id).first()
    if found is None:
        raise NotYours
    return found


def outcomes(staff: Staff, client_id: UUID, operation: str) -> QuerySet[Outcome]:
    """Everything one client answered, with who typed it and what was voided."""
    return questions.outcomes_of(access.client(staff, client_id, operation))


def outcome(staff: Staff, client_id: UUID, outcome_id: UUID, operation: str) -> Outcome:
    """One answer of one client, or NotYours."""
    rows = outcomes(staff, client_id, operation)
    found: Outcome | None = rows.filter(pk=outcome_id).first()
    if found is None:
        raise NotYours
    return found


def suggestion(
    staff: Staff, client_id: UUID, suggestion_id: UUID, operation: str
) -> KeptSuggestion:
    """One kept suggestion of one client, or NotYours."""
    rows = suggestions(staff, client_id, operation).select_related("client__site")
    found: KeptSuggestion | None = rows.filter(pk=suggestion_id).first()
    if found is None:
        raise NotYours
    return found


def suggestions(
    staff: Staff, client_id: UUID, operation: str
) -> QuerySet[KeptSuggestion]:
    """Every suggestion kept about one client, with who answered."""
    client = access.client(staff, client_id, operation)
    return KeptSuggestion.objects.filter(client=client).select_related("answered_by")


def hold_step(staff: Staff, client_id: UUID, step_id: UUID, operation: str) -> HoldStep:
    """One step of one client's program, or NotYours."""
    rows = hold_steps(staff, client_id, operation)
    found: HoldStep | None = rows.filter(pk=step_id).first()
    if found is None:
        raise NotYours
    return found


def hold_steps(staff: Staff, client_id: UUID, operation: str) -> QuerySet[HoldStep]:
    """Every step of one client's programs, with who approved it."""
    client = access.client(staff, client_id, operation)
    rows = HoldStep.objects.filter(program__client=client)
    return rows.select_related("program__client__site", "approval__by", "undone_by")


def alerts(staff: Staff, operation: str) -> QuerySet[Alert]:
    """The alerts of the sites on which the person holds the operation."""
    rows = Alert.objects.filter(site__in=access.sites(staff, operation))
    return rows.select_related("client", "acknowledged_by", "resolved_by", "snoozed_by")


def desk_tasks(staff: Staff, operation: str) -> QuerySet[DeskTask]:
    """Tasks of the person's sites, and those that belong to no site."""
    access.require(staff, operation)
    mine = Q(site__in=access.sites(staff, operation)) | Q(site__isnull=True)
    return DeskTask.objects.filter(mine).select_related("client", "done_by")


def desk_task(staff: Staff, task_id: UUID, operation: str) -> DeskTask:
    """One task, or NotYours."""
    row: DeskTask | None = desk_tasks(staff, operation).filter(pk=task_id).first()
    if row is None:
        raise NotYours
    return row
