"""A row of the morning list as a page shows it: urgency, reasons, reply, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.safestring import SafeString

from clinic.models import Client
from clinic.models import clients as client_states
from programs.logic.assessment import REASONS
from programs.models import AssessmentRecord
from reminders import charts
from reminders.logic import reason_words
from reminders.logic.evidence import Piece, in_words, pieces
from reminders.logic.snooze import may_be_put_away
from reminders.logic.urgency import rank
from reminders.logic.when import ago, when
from reminders.models import Alert, Inbound
from reminders.models import alerts as states
from reminders.triage import TriageRow

URGENCY_WORDS = {
    "emergency": "Emergency",
    "same_day": "Same day",
    "next_day": "Next day",
    "review": "Review",
}
ENDED_WORDS = {
    "opted_out": "ended the texts",
    "wrong_number": "wrong number",
    "silent": "silent for two weeks",
    "discharged": "discharged",
    "undelivered": "texts do not arrive",
}
SILENCE = ("silent", "silent_week", "not_monitored")


@dataclass(frozen=True, slots=True)
class Reason:
    """Why, in one sentence, and since when."""

    sentence: str
    at: str


@dataclass(frozen=True, slots=True)
class Said:
    """A client's text: cut into what was read and what was not, and the reading."""

    at: str
    language: str
    pieces: tuple[Piece, ...]
    read_as: str
    unread: bool


@dataclass(frozen=True, slots=True)
class Card:
    """Everything a card of the list shows; only words and trusted pictures.

    `away`: why the chain is put away; empty while it is on the list.
    """

    alert: Alert
    client: Client
    urgency: str
    due: str
    overdue: bool
    taken: str
    held: bool
    state: str
    reasons: tuple[Reason, ...]
    last: Said | None
    raising: Said | None
    suggestion: str
    chart: SafeString
    may_acknowledge: bool
    may_decide: bool
    may_snooze: bool
    away: str = ""


@dataclass(frozen=True, slots=True)
class PutAway:
    """One chain that waits for its day: until when, by whom, why, and what it is."""

    alert: Alert
    back: str
    labels: str


def put_away(alerts: Sequence[Alert], now: datetime) -> list[PutAway]:
    """Chains that are put away, in words."""
    return [
        PutAway(alert, _back(alert, now), ", ".join(_labels(alert))) for alert in alerts
    ]


def card(row: TriageRow, now: datetime, *, may: frozenset[str]) -> Card:
    """The card of a row; `may` are the operations the person holds at its site."""
    alert, client = row.alert, row.client
    zone = ZoneInfo(client.site.time_zone)
    raising = row.raising if row.raising != row.last_text else None
    return Card(
        alert=alert,
        client=client,
        urgency=URGENCY_WORDS[alert.urgency],
        due=_due(row, zone, now),
        overdue=row.overdue,
        taken=_taken(alert, zone, now),
        held=row.held,
        state=state_words(client),
        reasons=reasons(alert, row.assessment, zone=zone, now=now),
        last=said(row.last_text, client, zone=zone, now=now),
        raising=said(raising, client, zone=zone, now=now),
        suggestion=suggested(row.assessment) if row.suggests else "",
        chart=charts.small(
            row.points, now=now, zone=zone, prefix=f"c{alert.id.hex[-12:]}"
        ),
        may_acknowledge="alert.acknowledge" in may and alert.state == states.OPEN,
        may_decide="alert.decide" in may and alert.state != states.RESOLVED,
        may_snooze="alert.snooze" in may
        and alert.state != states.RESOLVED
        and not _is_away(alert, now)
        and may_be_put_away(alert.urgency, (each["reason"] for each in alert.reasons)),
        away=alert.snooze_reason if _is_away(alert, now) else "",
    )


def state_words(client: Client) -> str:
    """Empty while the client is monitored; else what ended it, in words."""
    if client.monitoring == client_states.PENDING:
        return "first text not answered yet"
    if client.monitoring == client_states.ENDED:
        why = ENDED_WORDS.get(client.ended_reason, "")
        return f"no longer monitored: {why}" if why else "no longer monitored"
    return ""


def reasons(
    alert: Alert,
    assessment: AssessmentRecord | None,
    *,
    zone: tzinfo,
    now: datetime,
) -> tuple[Reason, ...]:
    """Each reason once, the worst first, with the numbers of the last assessment."""
    worst: dict[str, dict[str, Any]] = {}
    for entry in alert.reasons:
        known = worst.get(entry["reason"])
        if known is None or rank(entry["urgency"]) < rank(known["urgency"]):
            worst[entry["reason"]] = entry
    ordered = sorted(worst.values(), key=lambda entry: rank(entry["urgency"]))
    return tuple(
        Reason(
            _sentence(entry, alert.client, assessment, now),
            when(datetime.fromisoformat(entry["at"]), zone=zone, now=now),
        )
        for entry in ordered
    )


def said(
    inbound: Inbound | None, client: Client, *, zone: tzinfo, now: datetime
) -> Said | None:
    """A client's text as it is shown, or None."""
    if inbound is None:
        return None
    return Said(
        at=f"{when(inbound.received_at, zone=zone, now=now)},"
        f" {ago(inbound.received_at, now)}",
        language=client.language,
        pieces=pieces(inbound.body, inbound.reply),
        read_as=" · ".join(in_words(inbound.reply)),
        unread=inbound.state in ("received", "unread"),
    )


def suggested(assessment: AssessmentRecord | None) -> str:
    """The decision table's suggestion in its own words; empty without one.

    Why is left out where it repeats a reason: the card says that already.
    """
    if assessment is None or not assessment.suggestion:
        return ""
    words = str(assessment.suggestion.get("sentence", ""))
    for reason in assessment.reasons:
        numbers = assessment.numbers.get(reason)
        words = words.removeprefix(reason_words.sentence(reason, numbers)).strip()
    return words


def _due(row: TriageRow, zone: tzinfo, now: datetime) -> str:
    at = when(row.alert.act_by, zone=zone, now=now)
    return f"overdue since {at}" if row.overdue else f"act by {at}"


def _is_away(alert: Alert, now: datetime) -> bool:
    return alert.snoozed_until is not None and alert.snoozed_until > now


def _back(alert: Alert, now: datetime) -> str:
    """The day it is back, on the site's calendar."""
    assert alert.snoozed_until is not None
    local = alert.snoozed_until.astimezone(ZoneInfo(alert.site.time_zone))
    return f"{local:%A, %B} {local.day}"


def _labels(alert: Alert) -> list[str]:
    return [
        reason_words.label(reason)
        for reason in dict.fromkeys(each["reason"] for each in alert.reasons)
    ]


def _taken(alert: Alert, zone: tzinfo, now: datetime) -> str:
    if _is_away(alert, now) and alert.snoozed_by:
        return f"Put away until {_back(alert, now)} by {alert.snoozed_by.name}"
    if alert.state != states.ACKNOWLEDGED or alert.acknowledged_by is None:
        return ""
    at = when(alert.acknowledged_at or now, zone=zone, now=now)
    return f"Acknowledged by {alert.acknowledged_by.name}, {at}"


def _silence(
    reason: str, heard_at: datetime, entry: Mapping[str, Any], now: datetime
) -> str:
    """How long the silence is by now, or that it has ended."""
    if heard_at > datetime.fromisoformat(entry["at"]):
        plain = reason_words.sentence(reason).rstrip(".")
        return f"{plain.partition(':')[0]}; the client has written since."
    if reason != "silent":
        return reason_words.sentence(reason)
    hours = (now - heard_at).total_seconds() / 3600
    return reason_words.sentence(reason, {"hours": hours})


def _sentence(
    entry: Mapping[str, Any],
    client: Client,
    assessment: AssessmentRecord | None,
    now: datetime,
) -> str:
    reason = entry["reason"]
    if reason in SILENCE and client.last_heard_at:
        return _silence(reason, client.last_heard_at, entry, now)
    if assessment is None or reason not in REASONS:
        return reason_words.sentence(reason)
    numbers = assessment.numbers.get(reason)
    if numbers:
        age = (now - assessment.at).total_seconds() / 3600
        return reason_words.sentence(reason, numbers, age=age)
    plain = reason_words.sentence(reason)
    older = datetime.fromisoformat(entry["at"]) < assessment.at
    return f"{plain} The latest reports no longer say so." if older else plain
