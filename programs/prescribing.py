"""Home programs: prescribe, revise, hold, pause, stop. The only writer of them."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db import transaction

from clinic import audit
from clinic.errors import BadInput, Conflict
from clinic.models import AuditEntry, Client, Staff
from programs import considering, plan_checks, plans
from programs.models import (
    HomeProgram,
    ProgramItem,
    ProgramRevision,
    StartingPoint,
    TemplateVersion,
)
from programs.models import programs as states
from programs.plans import ProgramPlan, Start
from programs.signals import program_changed


@transaction.atomic
def prescribe(
    client: Client,
    plan: ProgramPlan,
    start: Start,
    *,
    by: Staff,
    now: datetime,
    version: TemplateVersion | None = None,
) -> HomeProgram:
    """Put the client on a program; raises BadInput, or Conflict when one runs."""
    if running(client) is not None:
        raise Conflict("The client is on a program: change it, or stop it first.")
    if version is not None and version.published_at is None:
        raise BadInput("This version is a draft: publish it.", field="template_version")
    plan = plans.checked(plan, today=local_day(client, now))
    plan_checks.for_client(plan, client)
    start = plans.checked_start(start)
    program = HomeProgram.objects.create(
        organization_id=client.organization_id,
        client=client,
        template_version=version,
        started_at=now,
    )
    _record_start(program, start, by, now)
    revision = _revision(program, plan, by, "prescribed", now)
    audit.record("program.prescribed", program, actor=by, at=now, revision=revision.id)
    _tell(program)
    return program


@transaction.atomic
def revise(
    program: HomeProgram,
    plan: ProgramPlan,
    *,
    by: Staff,
    reason: str,
    now: datetime,
    actor: Staff | str | None = None,
) -> ProgramRevision:
    """A clinician changes the program, with a reason; raises BadInput, Conflict.

    `actor` is whoever acts in the clinician's name: what `by` approved beforehand
    answers no suggestion, so an open one lapses.
    """
    if not reason.strip():
        raise BadInput("Say why the program changes.", field="reason")
    _locked(program)
    if program.state == states.STOPPED:
        raise Conflict("This program is stopped: prescribe a new one.")
    plan = plans.checked(plan, today=local_day(program.client, now))
    plan_checks.for_client(plan, program.client)
    revision = _revision(program, plan, by, reason.strip(), now)
    audit.record(
        "program.revised", program, actor=actor or by, at=now, number=revision.number
    )
    if actor is None:
        considering.overtaken(program, revision, by=by, now=now)
    else:
        considering.lapse(program.client, now=now)
    _tell(program)
    return revision


@transaction.atomic
def hold(program: HomeProgram, *, actor: Staff | str, now: datetime) -> None:
    """Stop asking for exercises at once, until a clinician decides."""
    _locked(program)
    if program.state in (states.ACTIVE, states.PAUSED):
        _set(program, states.HELD)
        audit.record("program.held", program, actor=actor, at=now)


@transaction.atomic
def pause(
    program: HomeProgram, *, until: date | None, by: Staff, now: datetime
) -> None:
    """No reminders until the day given, or until somebody goes on."""
    _locked(program)
    _refuse_stopped(program)
    if until is not None and until <= local_day(program.client, now):
        raise BadInput("Choose a day after today.", field="until")
    _set(program, states.PAUSED, paused_until=until)
    audit.record("program.paused", program, actor=by, at=now, until=until)


@transaction.atomic
def go_on(program: HomeProgram, *, by: Staff | str, now: datetime) -> None:
    """End a hold or a pause; a clinician's decision, or the pause's last day."""
    _locked(program)
    _refuse_stopped(program)
    if program.state != states.ACTIVE:
        _set(program, states.ACTIVE, paused_until=None)
        audit.record("program.goes_on", program, actor=by, at=now)


@transaction.atomic
def stop(program: HomeProgram, *, by: Staff, now: datetime) -> None:
    """End the program for good."""
    _locked(program)
    if program.state != states.STOPPED:
        _set(program, states.STOPPED, stopped_at=now)
        considering.lapse(program.client, now=now)
        audit.record("program.stopped", program, actor=by, at=now)


def running(client: Client) -> HomeProgram | None:
    """The client's program that is not stopped, or None."""
    rows = HomeProgram.objects.filter(client=client).exclude(state=states.STOPPED)
    program: HomeProgram | None = rows.first()
    if program is not None:
        program.client = client  # the row at hand: this is asked for every text
    return program


def current_revision(program: HomeProgram) -> ProgramRevision:
    """The revision in force, with its items at hand."""
    rows = program.revisions.prefetch_related("items").order_by("-number")
    revision: ProgramRevision = rows[0]
    return revision


def paused_spans(program: HomeProgram) -> list[tuple[datetime, datetime]]:
    """From when to when the program was paused, for the pauses that are over."""
    moves = AuditEntry.objects.filter(
        subject_id=program.pk,
        action__in=("program.paused", "program.goes_on", "program.held"),
    ).order_by("sequence")
    spans, since = [], None
    for action, at in moves.values_list("action", "at"):
        if action == "program.paused":
            since = since or at
        elif since is not None:
            spans.append((since, at))
            since = None
    return spans


def still_spans(program: HomeProgram, now: datetime) -> list[tuple[datetime, datetime]]:
    """From when to when no exercise was asked for: held, paused or stopped."""
    moves = AuditEntry.objects.filter(
        subject_id=program.pk,
        action__in=("program.paused", "program.held", "program.goes_on"),
    ).order_by("sequence")
    spans, since = [], None
    for action, at in moves.values_list("action", "at"):
        if action != "program.goes_on":
            since = since or at
        elif since is not None:
            spans.append((since, at))
            since = None
    ended = program.stopped_at or now
    if since is not None:
        spans.append((since, now))
    elif ended < now:
        spans.append((ended, now))
    return spans


def local_day(client: Client, now: datetime) -> date:
    """The client's own date."""
    return now.astimezone(ZoneInfo(client.time_zone)).date()


def _revision(
    program: HomeProgram, plan: ProgramPlan, by: Staff, reason: str, now: datetime
) -> ProgramRevision:
    last = program.revisions.order_by("-number").first()
    revision = ProgramRevision.objects.create(
        organization_id=program.organization_id,
        program=program,
        number=last.number + 1 if last else 1,
        author=by,
        reason=reason,
        at=now,
        times_per_day=plan.times_per_day,
        waking_from=plan.waking_from,
        waking_to=plan.waking_to,
        stop_rules=list(plan.stop_rules),
        review_on=plan.review_on,
    )
    ProgramItem.objects.bulk_create(
        ProgramItem(
            organization_id=program.organization_id,
            revision=revision,
            position=position,
            **{name: getattr(item, name) for name in item.__dataclass_fields__},
        )
        for position, item in enumerate(plan.items)
    )
    return revision


def _record_start(
    program: HomeProgram, start: Start, by: Staff, now: datetime
) -> StartingPoint:
    return StartingPoint.objects.create(
        organization_id=program.organization_id,
        program=program,
        pain=Decimal(str(start.pain)),
        reach_left=start.reach_left,
        reach_right=start.reach_right,
        sensation=start.sensation,
        directional_preference=start.directional_preference,
        lateral_shift=start.lateral_shift,
        precautions=dict(start.precautions or {}),
        recorded_at=now,
        by=by,
    )


def _locked(program: HomeProgram) -> None:
    row = HomeProgram.objects.select_for_update().get(pk=program.pk)
    program.state, program.paused_until = row.state, row.paused_until


def _refuse_stopped(program: HomeProgram) -> None:
    if program.state == states.STOPPED:
        raise Conflict("This program is stopped: prescribe a new one.")


def _set(program: HomeProgram, state: str, **values: object) -> None:
    program.state = state
    for name, value in values.items():
        setattr(program, name, value)
    program.save(update_fields=["state", *values])
    _tell(program)


def _tell(program: HomeProgram) -> None:
    news = {"program_id": program.id, "organization_id": program.organization_id}
    transaction.on_commit(
        lambda: program_changed.send_robust(HomeProgram, **news), robust=True
    )
