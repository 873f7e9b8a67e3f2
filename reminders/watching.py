"""Watching: clients who fall silent, and safety questions nobody answers."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import Q

from clinic import access, consenting, scope
from clinic.models import Client
from clinic.models import clients as client_states
from programs import prescribing
from programs.models import programs as program_states
from reminders import (
    adapting,
    alerting,
    composing,
    conversation,
    desk,
    hours,
    outbox,
    snoozing,
)
from reminders.logic import silence
from reminders.logic.ask_backs import AskBack, unanswered
from reminders.logic.findings import WORSENING_REASONS, Finding
from reminders.logic.silence import SilenceStep
from reminders.logic.urgency import NEXT_DAY
from reminders.models import AlertEvent, Outbound

DAY = timedelta(days=1)


def watch(now: datetime) -> int:
    """Take each step that silence, a question or a snooze has reached; how many."""
    return _watch_silence(now) + _watch_questions(now) + snoozing.wake_due(now)


def _watch_silence(now: datetime) -> int:
    quiet = Q(last_heard_at__lte=now - DAY) | Q(
        last_heard_at__isnull=True, monitored_since__lte=now - DAY
    )
    rows = Client.objects.across("the watch covers every organization").filter(
        quiet, monitoring=client_states.ACTIVE
    )
    taken = 0
    for client in rows.select_related("site", "clinician").iterator(chunk_size=500):
        with scope.within(client.organization_id), transaction.atomic():
            taken += _silence_of(client, now)
    return taken


def _silence_of(client: Client, now: datetime) -> int:
    program = prescribing.running(client)
    if program is None or program.state == program_states.PAUSED:
        return 0
    heard = client.last_heard_at or client.monitored_since or client.created_at
    if program.started_at > heard:
        heard = program.started_at
    open_reasons = alerting.open_reasons(alerting.open_chain(client))
    step = silence.silence_step(
        heard,
        bool(open_reasons & WORSENING_REASONS),
        now,
        uncounted=[
            *_closed_spans(client, heard, now),
            *prescribing.paused_spans(program),
        ],
    )
    if step is None:
        return 0
    adapting.back_to_full(client, program, now=now)
    return _take(client, step, heard, now)


def _take(client: Client, step: SilenceStep, heard: datetime, now: datetime) -> int:
    key = f"sil:{client.id}:{heard:%Y%m%d%H%M}:{step.kind}"
    if step.kind == silence.NUDGE:
        return _text(client, "nudge", key, now)
    if step.monitoring_ends:
        _text(client, "last_text", key, now)
        consenting.end_monitoring(client, "silent", actor="service", now=now)
        return _alert(client, Finding("not_monitored", NEXT_DAY), heard, now)
    if step.kind == silence.CALL_TASK:
        told = _alert(client, Finding("silent_week", NEXT_DAY), heard, now)
        if told:
            desk.open_task("call", client=client, now=now)
        return told
    assert step.urgency is not None
    return _alert(client, Finding("silent", step.urgency), heard, now)


def _alert(client: Client, finding: Finding, heard: datetime, now: datetime) -> int:
    """Once a silence: a person who dealt with it is not asked again every minute."""
    told = AlertEvent.objects.filter(
        alert__client=client,
        reason=finding.reason,
        urgency=finding.urgency,
        at__gt=heard,
    )
    if told.exists():
        return 0
    alerting.raise_alert(client, [finding], now=now)
    return 1


def _text(client: Client, kind: str, key: str, now: datetime) -> int:
    phone = access.current_number(client)
    if phone is None or not phone.may_receive:
        return 0
    if Outbound.objects.filter(key=key).exists():
        return 0
    text = composing.site_text(kind, client.site, client.language)
    due = composing.daytime(client, now)
    put = outbox.put(text, key=key, phone=phone, now=now, client=client, due_at=due)
    return int(put is not None)


def _closed_spans(
    client: Client, since: datetime, now: datetime
) -> Sequence[tuple[datetime, datetime]]:
    """Days on which the site is closed by the calendar do not count as silence."""
    closures = client.site.closures.filter(
        on__gte=since.date(), on__lte=now.date()
    ).values_list("on", flat=True)
    site_hours = hours.of(client.site)
    return [site_hours.whole_day(day) for day in closures]


def _watch_questions(now: datetime) -> int:
    """A safety or "who" question left open too long counts as the worse answer."""
    rows = Outbound.objects.across("the watch covers every organization").filter(
        asks__in=("safety", "who"),
        client__isnull=False,
        sent_at__gt=now - DAY,
        sent_at__lte=now - timedelta(minutes=30),
        kind__startswith="ask_",
    )
    return sum(_question(row, now) for row in rows.select_related("client__site"))


def _question(row: Outbound, now: datetime) -> int:
    client = row.client
    assert client is not None and row.sent_at is not None
    with scope.within(row.organization_id), transaction.atomic():
        if conversation.is_answered(row):
            return 0
        finding = unanswered(AskBack(row.asks, row.sent_at), now=now)
        if finding is None or _is_known(client, finding, row.sent_at):
            return 0
        alerting.raise_alert(client, [finding], now=now)
        return 1


def _is_known(client: Client, finding: Finding, asked_at: datetime) -> bool:
    rows = client.alerts.filter(opened_at__gt=asked_at - timedelta(days=7))
    return any(
        entry["reason"] == finding.reason
        and datetime.fromisoformat(entry["at"]) > asked_at
        for alert in rows
        for entry in alert.reasons
    )
