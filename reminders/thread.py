"""The texts of one client as the page lists them: both ways, newest first, in words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import Any

from clinic.models import Client
from reminders import cards, exchange
from reminders.cards import Said
from reminders.exchange import Place
from reminders.logic.when import when
from reminders.models import Inbound, Outbound

PAGE = 24
KINDS = {
    "manual": "Text by hand",
    "welcome": "First text",
    "welcome_confirmed": "Confirmation",
    "help": "Answer to HELP",
    "resumed": "Texts resumed",
    "weekly_safety": "Weekly safety question",
    "nudge": "Nudge after silence",
    "load_less": "Reminded less often",
    "load_full": "Reminded of every session again",
    "last_text": "Last text after silence",
}
# A family of kinds by how its names begin; the rest is an answer.
FAMILIES = {
    "reminder": "Reminder",
    "safety": "Safety text",
    "ask_": "Question back",
    "opt_out": "End of texts confirmed",
    "decision": "Decision",
}
STATES = {
    "pending": "waiting",
    "held": "waiting for quiet hours to end",
    "claimed": "leaving",
    "sending": "leaving",
    "accepted": "sent",
    "sent": "sent",
    "delivered": "delivered",
    "unknown": "not known whether it left",
    "abandoned": "given up",
    "failed": "failed",
    "undelivered": "not delivered",
    "expired": "too late, not sent",
    "cancelled": "taken back",
}
PROBLEMS = ("unknown", "abandoned", "failed", "undelivered")


@dataclass(frozen=True, slots=True)
class Entry:
    """One text as it is shown; `said` and `body` are empty for who may not read."""

    place: Place
    when: str
    incoming: bool
    kind: str
    who: str
    state: str
    problem: bool
    language: str
    said: Said | None
    body: str


def thread(
    client: Client,
    *,
    with_bodies: bool,
    now: datetime,
    zone: tzinfo,
    before: Place | None = None,
) -> list[Entry]:
    """The newest texts before a moment, at most a page.

    Without bodies the kind is withheld as well: it tells what was reported.
    """
    found = exchange.texts(client, before=before, most=PAGE)
    moments = [when(row.at, zone=zone, now=now) for row in found]
    return [
        _came(row, client, moment, with_bodies, zone, now)
        if isinstance(row, Inbound)
        else _went(row, client, moment, with_bodies)
        for row, moment in zip(found, moments, strict=True)
    ]


def _came(
    row: Any,
    client: Client,
    moment: str,
    with_bodies: bool,
    zone: tzinfo,
    now: datetime,
) -> Entry:
    unread = row.state in ("received", "unread")
    said = cards.said(row, client, zone=zone, now=now) if with_bodies else None
    return Entry(
        place=exchange.place_of(row),
        when=moment,
        incoming=True,
        kind="Reply",
        who="",
        state="not read yet" if unread else "",
        problem=unread,
        language=client.language,
        said=said,
        body="",
    )


def _went(row: Outbound, client: Client, moment: str, with_bodies: bool) -> Entry:
    return Entry(
        place=exchange.place_of(row),
        when=moment,
        incoming=False,
        kind=_kind(row.kind) if with_bodies or row.kind == "manual" else "Text",
        who=row.author.name if row.author else "",
        state=STATES.get(row.state, row.state),
        problem=row.state in PROBLEMS,
        language=client.language,
        said=None,
        body=row.body if with_bodies else "",
    )


def _kind(kind: str) -> str:
    family = (words for start, words in FAMILIES.items() if kind.startswith(start))
    return KINDS.get(kind) or next(family, "Answer")
