"""Alerts: one open chain a client that grows; acknowledged and resolved by people.

Opened inside the transaction that read the reply, so no queue lies between a bad
reply and its alert.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from uuid import UUID

from django.db import IntegrityError, transaction

from clinic import audit
from clinic.errors import Conflict
from clinic.models import Client, Staff
from programs import deciding
from programs.deciding import Choice
from programs.models import Decision
from reminders import hours
from reminders.logic.findings import Finding
from reminders.logic.timing import act_by
from reminders.logic.urgency import EMERGENCY, rank
from reminders.models import Alert, AlertEvent
from reminders.models import alerts as states

SETTLED_FOR = timedelta(hours=48)


@transaction.atomic
def raise_alert(
    client: Client,
    found: Sequence[Finding],
    *,
    now: datetime,
    actor: str = "service",
    inbound_id: UUID | None = None,
    exercise: str = "",
    worse: bool = False,
) -> Alert | None:
    """Open the client's chain or let it grow; None when there is nothing to raise.

    A reason already in the chain at the same or a worse urgency adds nothing. A
    worse one, or a new one, opens an acknowledged chain again and brings back one
    that was put away; so does `worse`, the client's own words that it is worse.
    """
    if not found:
        return None
    alert = open_chain(client, lock=True)
    if alert is None:
        alert = _opened(client, found, now)
    news = [finding for finding in found if _is_news(alert, finding)]
    if alert.snoozed_until is not None and (news or worse):
        put_back(alert, actor=actor, now=now, why="news" if news else "worse")
        alert.save()
    if not news:
        return alert
    fresh = not alert.reasons
    for finding in news:
        _grow(alert, finding, now, inbound_id)
    if exercise and not alert.exercise:
        alert.exercise = exercise
    alert.save()
    kind = "opened" if fresh else "grown"
    for finding in news:
        note(alert, kind, finding, actor=actor, at=now, inbound_id=inbound_id)
    audit.record(
        f"alert.{kind}",
        alert,
        actor=actor,
        at=now,
        urgency=alert.urgency,
        reasons=[finding.reason for finding in news],
    )
    return alert


@transaction.atomic
def acknowledge(alert: Alert, *, by: Staff, now: datetime) -> Alert:
    """A named person has it; paging ends. Again by the same person changes nothing."""
    alert = locked(alert)
    if alert.state == states.RESOLVED:
        raise Conflict("This alert is resolved already.")
    if alert.state == states.ACKNOWLEDGED and alert.acknowledged_by_id == by.id:
        return alert
    alert.state = states.ACKNOWLEDGED
    alert.acknowledged_by, alert.acknowledged_at = by, now
    alert.save(update_fields=["state", "acknowledged_by", "acknowledged_at"])
    note(alert, "acknowledged", actor=f"staff:{by.id}", at=now)
    audit.record("alert.acknowledged", alert, actor=by, at=now)
    return alert


@transaction.atomic
def decide(
    client: Client,
    choice: Choice,
    *,
    by: Staff,
    now: datetime,
    alert: Alert | None = None,
    resolves: bool = True,
) -> Decision:
    """A clinician's decision; resolves the client's open chain unless told not to."""
    if alert is not None:
        alert = locked(alert)
        if alert.state == states.RESOLVED:
            raise Conflict("This alert is resolved already.")
    else:
        alert = open_chain(client, lock=True)
    alert_id = alert.id if alert else None
    decision = deciding.decide(client, choice, by=by, now=now, alert_id=alert_id)
    if alert is not None and resolves:
        _resolve(alert, by, now)
    return decision


def open_chain(client: Client, *, lock: bool = False) -> Alert | None:
    """The client's unresolved chain, or None."""
    rows = Alert.objects.filter(client=client, state__in=states.UNRESOLVED)
    if lock:
        rows = rows.select_for_update()
    return rows.first()


def open_reasons(alert: Alert | None) -> frozenset[str]:
    """The reasons in an open chain."""
    return (
        frozenset(entry["reason"] for entry in alert.reasons) if alert else frozenset()
    )


def settled_reasons(client: Client, now: datetime) -> dict[str, str]:
    """Reasons a clinician decided on in the last two days, at their worst urgency."""
    rows = Alert.objects.filter(client=client, resolved_at__gt=now - SETTLED_FOR)
    settled: dict[str, str] = {}
    for entry in (each for alert in rows for each in alert.reasons):
        known = settled.get(entry["reason"])
        if known is None or rank(entry["urgency"]) < rank(known):
            settled[entry["reason"]] = entry["urgency"]
    return settled


def put_back(alert: Alert, *, actor: Staff | str, now: datetime, why: str) -> None:
    """Take a chain out of its snooze, on the locked row; the caller saves it.

    It has a fresh time to act, as if it had come now: nobody was meant to act before.
    `why`: day, news, worse or asked.
    """
    alert.snoozed_until, alert.snoozed_by, alert.snooze_reason = None, None, ""
    alert.state = states.OPEN
    alert.act_by = act_by(alert.urgency, now, hours.of(alert.site))
    named = f"staff:{actor.id}" if isinstance(actor, Staff) else actor
    note(alert, "returned", actor=named, at=now)
    audit.record("alert.returned", alert, actor=actor, at=now, why=why)


def _opened(client: Client, found: Sequence[Finding], now: datetime) -> Alert:
    worst = min(found, key=lambda finding: rank(finding.urgency))
    alert = Alert(
        organization_id=client.organization_id,
        client=client,
        site=client.site,
        urgency=worst.urgency,
        rank=rank(worst.urgency),
        opened_at=now,
        raised_at=now,
        act_by=act_by(worst.urgency, now, hours.of(client.site)),
    )
    try:
        with transaction.atomic():
            alert.save(force_insert=True)
    except IntegrityError:
        # Two replies at once: the other one opened the chain, this one joins it.
        known = open_chain(client, lock=True)
        assert known is not None
        return known
    return alert


def _is_news(alert: Alert, finding: Finding) -> bool:
    known = [
        rank(entry["urgency"])
        for entry in alert.reasons
        if entry["reason"] == finding.reason
    ]
    return not known or rank(finding.urgency) < min(known)


def _grow(
    alert: Alert, finding: Finding, now: datetime, inbound_id: UUID | None
) -> None:
    entry = {
        "reason": finding.reason,
        "urgency": finding.urgency,
        "at": now.isoformat(),
        "inbound": str(inbound_id) if inbound_id else None,
    }
    alert.reasons = [*alert.reasons, entry]
    if rank(finding.urgency) <= alert.rank:
        if rank(finding.urgency) < alert.rank:
            alert.urgency, alert.rank = finding.urgency, rank(finding.urgency)
            alert.raised_at = now
        due = act_by(finding.urgency, now, hours.of(alert.site))
        # An emergency has its own 15 minutes: joined to an older chain it must not
        # read as overdue for days. Any other reason never moves the time out.
        emergency = finding.urgency == EMERGENCY
        alert.act_by = due if emergency else min(alert.act_by, due)
    if alert.state == states.ACKNOWLEDGED:
        alert.state = states.OPEN
        alert.act_by = act_by(finding.urgency, now, hours.of(alert.site))
        if rank(finding.urgency) <= alert.rank:
            # A lesser reason shows again, yet does not page the chain at night.
            alert.raised_at, alert.pages_sent, alert.paged_at = now, 0, None


def _resolve(alert: Alert, by: Staff, now: datetime) -> None:
    alert.state = states.RESOLVED
    alert.resolved_by, alert.resolved_at = by, now
    alert.snoozed_until = None
    alert.save(update_fields=["state", "resolved_by", "resolved_at", "snoozed_until"])
    note(alert, "resolved", actor=f"staff:{by.id}", at=now)
    audit.record("alert.resolved", alert, actor=by, at=now)


def locked(alert: Alert) -> Alert:
    """The alert's row, locked until the transaction ends."""
    row: Alert = Alert.objects.select_for_update().get(pk=alert.pk)
    return row


def note(
    alert: Alert,
    kind: str,
    finding: Finding | None = None,
    *,
    actor: str,
    at: datetime,
    inbound_id: UUID | None = None,
    outbound_id: UUID | None = None,
    reason: str = "",
    words: str = "",
) -> None:
    """Keep what happened to an alert; its audit line is the writer's to add."""
    AlertEvent.objects.create(
        organization_id=alert.organization_id,
        alert=alert,
        at=at,
        kind=kind,
        urgency=finding.urgency if finding else alert.urgency,
        reason=finding.reason if finding else reason,
        actor=actor,
        inbound_id=inbound_id,
        outbound_id=outbound_id,
        note=words,
    )
