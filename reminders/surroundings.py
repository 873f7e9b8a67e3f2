"""What surrounds a change of dose or of load: alerts, questions, sessions, silence."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Q

from clinic.models import Client
from clinic.models import clients as client_states
from programs import assessing, prescribing, reporting
from programs.logic.sessions import SessionRates, rates_of
from programs.models import HomeProgram, SessionReport
from programs.stepping import Known
from programs.suggesting import Around
from reminders import alerting, conversation, planning
from reminders.logic import schedule
from reminders.logic.findings import HOLDING_REASONS
from reminders.logic.schedule import PlanError
from reminders.logic.urgency import worst
from reminders.logic.warning_signs import WARNING_KINDS
from reminders.models import Alert, Outbound
from reminders.models.alerts import UNRESOLVED
from reminders.models.messages import OPEN_STATES

WEEK = timedelta(days=7)
SESSION_KINDS = ("reminder", "reminder_changed")
Span = tuple[datetime, datetime]


def around(
    client: Client,
    now: datetime,
    warnings: Iterable[str] = (),
    *,
    just_heard: bool = False,
) -> Around:
    """Alerts of the last week, open questions, warning words not yet decided on.

    `warnings` are the urgencies of warning words in the text at hand. A later,
    harmless text does not take back a sign nobody has decided on yet. `just_heard`:
    the client's text is at hand, so that every question is answered.
    """
    recent = client.alerts.filter(
        Q(state__in=UNRESOLVED) | Q(resolved_at__gt=now - WEEK)
    )
    standing = alerting.open_chain(client)
    found = [
        *warnings,
        *(
            entry["urgency"]
            for entry in (standing.reasons if standing else ())
            if entry["reason"] in WARNING_KINDS
        ),
    ]
    return Around(
        open_alerts=frozenset(recent.values_list("urgency", flat=True)),
        warning=worst(found) if found else None,
        unanswered_ask_back=not just_heard and has_open_question(client, now),
    )


def known(client: Client, now: datetime) -> Known:
    """What a step of the dose is decided on, as of now."""
    due = conversation.reminders_sent(client, now)
    assessment, history = assessing.course_of(client, due=due, now=now)
    return Known(
        assessment,
        history,
        around(client, now),
        followed=client.monitoring == client_states.ACTIVE,
        open_alert=alerting.open_chain(client) is not None,
    )


def has_open_question(client: Client, now: datetime) -> bool:
    """Whether a question back, or the weekly one, waits for its answer.

    One that has not left yet is open as well: the reply at hand gave rise to it.
    """
    rows = Outbound.objects.filter(client=client)
    if rows.filter(kind__startswith="ask_", state__in=OPEN_STATES).exists():
        return True
    asked = rows.filter(
        Q(kind__startswith="ask_") | Q(kind="weekly_safety"),
        sent_at__gt=now - WEEK,
        sent_at__lte=now,
    )
    last = asked.order_by("-sent_at", "-id").first()
    return last is not None and not conversation.is_answered(last)


def sessions(
    client: Client, program: HomeProgram, now: datetime, *, days: int = 7
) -> SessionRates:
    """The three rates of the last days, by the client's own days."""
    since = max(now - timedelta(days=days), program.started_at)
    rows = SessionReport.objects.filter(
        client=client, at__gt=since, at__lte=now, voided_at__isnull=True
    )
    sent = Outbound.objects.filter(
        client=client, kind__in=SESSION_KINDS, sent_at__gt=since, sent_at__lte=now
    )
    return rates_of(
        [reporting.value_of(row) for row in rows],
        prescribed_at=prescribed(client, program, since, now),
        sent_at=list(sent.values_list("sent_at", flat=True)),
        zone=ZoneInfo(client.time_zone),
    )


def prescribed(
    client: Client, program: HomeProgram, since: datetime, until: datetime
) -> list[datetime]:
    """When sessions were due, reminded of or not; not while no exercise was asked."""
    still = [
        *prescribing.still_spans(program, until),
        *_symptoms_only(client, since, until),
    ]
    revisions = list(program.revisions.order_by("number"))
    ends = [*(revision.at for revision in revisions[1:]), until]
    found: list[datetime] = []
    for revision, end in zip(revisions, ends, strict=True):
        revision.program = program
        start, stop = max(since, revision.at), min(until, end)
        try:
            plan = planning.reminder_plan(client, revision)
        except PlanError:
            continue
        found += schedule.occurrences(plan, start, stop) if start < stop else []
    return [at for at in found if not any(a <= at < b for a, b in still)]


def _symptoms_only(client: Client, since: datetime, until: datetime) -> list[Span]:
    """While a worsening was open, texts asked for no exercise."""
    rows = Alert.objects.filter(client=client, opened_at__lt=until).filter(
        Q(resolved_at__isnull=True) | Q(resolved_at__gt=since)
    )
    return [
        (alert.opened_at, alert.resolved_at or until)
        for alert in rows
        if alerting.open_reasons(alert) & HOLDING_REASONS
    ]
