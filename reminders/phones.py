"""The demo's phones: what a client's or an on-call person's screen would show.

Read for the page of phones only, which exists in the demo alone; there every person
is invented, so no role is asked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Max, Q

from clinic import access
from clinic.errors import NotYours
from clinic.models import Client, OnCallEntry, PhoneNumber
from reminders import links
from reminders.logic.when import when
from reminders.models import Inbound, Outbound
from reminders.models import messages as states

MOST_PHONES, MOST_TEXTS = 6, 14


@dataclass(frozen=True, slots=True)
class Line:
    """One text on a screen: written on this phone, or arrived on it."""

    id: UUID
    at: datetime
    when: str
    mine: bool
    body: str


@dataclass(frozen=True, slots=True)
class Phone:
    """A phone: whose, the number, its texts oldest first; staff phones only receive."""

    id: UUID
    name: str
    number: str
    language: str
    lines: tuple[Line, ...]
    answers: bool

    @property
    def seen(self) -> str:
        """Changes when a text comes in or goes out."""
        return str(self.lines[-1].id) if self.lines else ""


def everyone() -> list[Client]:
    """Every client of the demo, by name."""
    return sorted(Client.objects.all(), key=lambda client: client.name.casefold())


def chosen(ids: Sequence[UUID]) -> list[Client]:
    """The clients asked for, or those with the most recent texts."""
    if ids:
        found = {row.id: row for row in Client.objects.filter(pk__in=ids[:MOST_PHONES])}
        return [found[pk] for pk in ids[:MOST_PHONES] if pk in found]
    newest = Client.objects.annotate(
        out=Max("outbounds__sent_at"), heard=Max("inbounds__received_at")
    ).exclude(out=None, heard=None)
    latest = sorted(newest, key=_last_text, reverse=True)
    return latest[:MOST_PHONES] or list(Client.objects.all()[:MOST_PHONES])


def of_client(client: Client, now: datetime) -> Phone:
    """The client's phone as it stands."""
    phone = access.current_number(client)
    return Phone(
        id=client.id,
        name=client.name,
        number=phone.number if phone else "no number",
        language=client.language,
        lines=_lines(phone, ZoneInfo(client.time_zone), now) if phone else (),
        answers=phone is not None,
    )


def on_call(now: datetime) -> list[Phone]:
    """The phones of people on call, each number once; they receive pages."""
    found: dict[str, Phone] = {}
    for entry in OnCallEntry.objects.select_related("staff", "site"):
        if entry.number not in found:
            found[entry.number] = _staff_phone(entry, now)
    return list(found.values())


def number_of(client_id: UUID) -> PhoneNumber:
    """The number a client of the demo writes from; raises NotYours."""
    client = Client.objects.filter(pk=client_id).first()
    phone = access.current_number(client) if client else None
    if phone is None:
        raise NotYours
    return phone


def next_reminder_at(now: datetime) -> datetime | None:
    """When the next text that is waiting falls due."""
    rows = Outbound.objects.filter(state=states.PENDING, due_at__gt=now)
    return rows.order_by("due_at").values_list("due_at", flat=True).first()


def _last_text(client: Client) -> datetime:
    moments = (client.out, client.heard)  # type: ignore[attr-defined]  # annotated
    return max(at for at in moments if at is not None)


def _lines(phone: PhoneNumber, zone: ZoneInfo, now: datetime) -> tuple[Line, ...]:
    out = Outbound.objects.filter(phone=phone, sent_at__isnull=False).exclude(
        Q(state="failed") | Q(state="undelivered")
    )
    texts = [
        *(_arrived(row, zone, now) for row in out.order_by("-sent_at")[:MOST_TEXTS]),
        *(
            Line(
                row.id,
                row.received_at,
                _when(row.received_at, zone, now),
                True,
                row.body,
            )
            for row in Inbound.objects.filter(phone=phone).order_by("-received_at")[
                :MOST_TEXTS
            ]
        ),
    ]
    # An answer bears the moment of the text it answers: what was written comes first.
    texts.sort(key=lambda line: (line.at, not line.mine, line.id))
    return tuple(texts[-MOST_TEXTS:])


def _staff_phone(entry: OnCallEntry, now: datetime) -> Phone:
    rows = Outbound.objects.filter(staff=entry.staff, sent_at__isnull=False)
    zone = ZoneInfo(entry.site.time_zone)
    lines = [_arrived(row, zone, now) for row in rows.order_by("-sent_at")[:6]]
    return Phone(
        id=entry.staff_id,
        name=entry.staff.name,
        number=entry.number,
        language="en",
        lines=tuple(reversed(lines)),
        answers=False,
    )


def _arrived(row: Outbound, zone: ZoneInfo, now: datetime) -> Line:
    at = row.sent_at or row.due_at
    return Line(row.id, at, _when(at, zone, now), False, links.leaving(row))


def _when(at: datetime, zone: ZoneInfo, now: datetime) -> str:
    return when(at, zone=zone, now=now)
