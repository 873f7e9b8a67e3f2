"""Receiving: a text is stored before it is read, and read before it is answered.

T1 stores the raw text and carries out an opt-out; T2 (`reminders.reading`) reads it,
reports, assesses, alerts and answers. If T2 fails the text stays as unread with a
task for a person, and the sweep reads it again.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction
from django.db.models import F

from clinic import consenting, logs, scope
from clinic.enrolling import phone_row
from clinic.fields import blind_index
from clinic.models import Client, Organization, PhoneNumber
from reminders import alerting, composing, conversation, desk, outbox, reading
from reminders.logic.findings import Finding
from reminders.logic.reply import Reply, parse_reply
from reminders.logic.urgency import SAME_DAY
from reminders.models import Inbound

log = logs.get("reminders.receiving")
LONGEST = 16_000  # ten times what a gateway passes on: a warning may stand last
RETRY_AFTER = timedelta(seconds=30)
MOST_ATTEMPTS = 5


@dataclass(frozen=True, slots=True)
class Arrival:
    """A text as the gateway hands it over; numbers in E.164."""

    gateway_id: str
    from_number: str
    to_number: str
    body: str


def arrive(arrival: Arrival, now: datetime, *, asked: str | None = None) -> Inbound:
    """Take a text in: stored exactly once, read, answered; never raises on content.

    A second arrival of the same message changes nothing. `asked` names the question
    it answers; None: the one that the conversation has open.
    """
    inbound, fresh = store(arrival, now, asked=asked)
    if fresh:
        read_safely(inbound, now)
    return inbound


@transaction.atomic
def store(
    arrival: Arrival, now: datetime, *, asked: str | None = None
) -> tuple[Inbound, bool]:
    """T1: keep the raw text and end the texts if it says so; (row, is it new)."""
    known = _known(arrival.gateway_id)
    if known:
        return known, False
    organization = Organization.objects.filter(sending_number=arrival.to_number).first()
    inbound = Inbound(
        organization=organization,
        gateway_id=arrival.gateway_id,
        from_number=clean(arrival.from_number)[:24],
        to_number=clean(arrival.to_number)[:24],
        body=clean(arrival.body)[:LONGEST],
        received_at=now,
        asked=asked or "",
    )
    if organization is None:
        return _saved(inbound)
    with scope.within(organization.id):
        return _store_known(inbound, now)


def read_safely(inbound: Inbound, now: datetime) -> None:
    """T2, or the record that it failed: the text is never lost with an error."""
    try:
        reading.read(inbound.id, now)
    except Exception as error:  # noqa: BLE001  whatever broke, the text must be seen
        log.error("reading_failed", inbound=str(inbound.id), error=type(error).__name__)
        _mark_unread(inbound, now)
    inbound.refresh_from_db()


def sweep(now: datetime, *, most: int = 200) -> int:
    """Read again what a crash or an error left unread; returns how many."""
    rows = Inbound.objects.across("sweep").filter(
        state__in=("received", "unread"),
        received_at__lte=now - RETRY_AFTER,
        attempts__lt=MOST_ATTEMPTS,
    )
    found = list(rows.order_by("received_at")[:most])
    for inbound in found:
        _opt_out_again(inbound, now)
        read_safely(inbound, now)
    return len(found)


def clean(text: str) -> str:
    """The text without what no database keeps: NUL, and halves of characters."""
    return text.replace("\x00", "").encode("utf-8", "replace").decode("utf-8")


def _store_known(inbound: Inbound, now: datetime) -> tuple[Inbound, bool]:
    index = blind_index(inbound.from_number)
    phone = PhoneNumber.objects.filter(number_index=index).first()
    held_by = consenting.reached(phone) if phone else []
    client = held_by[0] if len(held_by) == 1 else None
    inbound.phone, inbound.client = phone, client
    if client and not inbound.asked:
        inbound.asked = conversation.asked(client, now) or ""
    saved, fresh = _saved(inbound)
    if fresh:
        _honor_opt_out(saved, held_by, now)
    if fresh and client:
        Client.objects.filter(pk=client.pk).update(last_heard_at=now)
        outbox.cancel_nudges(client)
    return saved, fresh


def _honor_opt_out(inbound: Inbound, held_by: list[Client], now: datetime) -> None:
    """An opt-out holds from this commit on; one confirmation leaves, nothing else.

    It holds for a number nobody has as well: whoever is enrolled with it later gets
    no text until START comes from there.
    """
    language = held_by[0].language if held_by else "en"
    reply = _first_reading(inbound, language)
    if reply is None or not is_opt_out(reply):
        return
    if inbound.phone is None:
        assert inbound.organization_id is not None
        phone = phone_row(inbound.organization_id, inbound.from_number)
    else:
        phone = inbound.phone
    if phone.opted_out_at is not None:
        return
    outbox.cancel_pending(phone, now=now, why="opted_out")
    consenting.withdraw(phone, inbound=inbound.id, now=now)
    if held_by:
        kind = "opt_out_confirmation"
        if reply.warnings:
            kind = "opt_out_confirmation_safety"
        text = composing.site_text(kind, held_by[0].site, language)
        outbox.put(
            text, key=f"out:{inbound.id}", phone=phone, now=now, client=held_by[0]
        )


@transaction.atomic
def _opt_out_again(inbound: Inbound, now: datetime) -> None:
    """A text that could not be read when it came may have been an opt-out."""
    if inbound.organization_id is None:
        return
    with scope.within(inbound.organization_id):
        people = consenting.reached(inbound.phone) if inbound.phone else []
        _honor_opt_out(inbound, people, now)


def _first_reading(inbound: Inbound, language: str) -> Reply | None:
    """The text read for an opt-out; an error here must not lose the text itself."""
    try:
        return parse_reply(inbound.body, language=language, asked=inbound.asked or None)
    except Exception as error:  # noqa: BLE001  the second reading tells a person
        log.error("reading_failed", inbound=str(inbound.id), error=type(error).__name__)
        return None


def is_opt_out(reply: Reply) -> bool:
    """Whether sending ends at once: the keyword, or an opt-out inside a report."""
    return reply.keyword == "stop" or reply.stop_inside


def _saved(inbound: Inbound) -> tuple[Inbound, bool]:
    try:
        with transaction.atomic():
            inbound.save(force_insert=True)
    except IntegrityError:
        known = _known(inbound.gateway_id)
        if known is None:
            raise
        return known, False
    return inbound, True


def _known(gateway_id: str) -> Inbound | None:
    rows = Inbound.objects.across("a message id names no organization")
    return rows.filter(gateway_id=gateway_id).first()


@transaction.atomic
def _mark_unread(inbound: Inbound, now: datetime) -> None:
    rows = Inbound.objects.across("the failed row itself").filter(pk=inbound.pk)
    rows.update(state="unread", attempts=F("attempts") + 1)
    if inbound.organization_id is None:
        return
    with scope.within(inbound.organization_id):
        people = consenting.reached(inbound.phone) if inbound.phone else []
        for client in people:
            alerting.raise_alert(
                client, [Finding("unread", SAME_DAY)], now=now, inbound_id=inbound.id
            )
        if not people:
            desk.open_task("unknown_number", now=now, detail=inbound.from_number)
