"""A staff member's own text to a client: checked, counted, kept in the thread."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from clinic import access
from clinic.errors import BadInput, Conflict
from clinic.logic.ids import new_id
from clinic.models import Client, PhoneNumber, Staff
from clinic.models import clients as client_states
from reminders import composing, outbox
from reminders.logic.segments import Segments, measure
from reminders.logic.wording import Text, lint_health_words
from reminders.models import Outbound

MOST_PARTS = 3


@dataclass(frozen=True, slots=True)
class Preview:
    """What the person sees before sending: parts, odd signs, health words."""

    segments: Segments
    health_words: tuple[str, ...]


def preview(body: str, language: str) -> Preview:
    """Measure a body as it would leave."""
    return Preview(measure(body), tuple(lint_health_words(body, language)))


@transaction.atomic
def write_to(
    client: Client,
    body: str,
    *,
    by: Staff,
    now: datetime,
    despite_health_words: bool = False,
) -> Outbound:
    """Put the text into the outbox, in the client's daytime; raises BadInput, Conflict.

    A word that tells a bystander what is wrong is refused unless the sender says
    that it must stand.
    """
    phone = open_number(client)
    body = " ".join(body.replace("\x00", "").split())
    if not body:
        raise BadInput("Write the text first.", field="body")
    seen = preview(body, client.language)
    if seen.segments.parts > MOST_PARTS:
        raise BadInput(
            f"The text takes {seen.segments.parts} parts; at most {MOST_PARTS}.",
            field="body",
        )
    if seen.health_words and not despite_health_words:
        raise BadInput(
            "A bystander could read from the screen: "
            + ", ".join(seen.health_words)
            + ". Say it without, or confirm that it must stand.",
            field="despite_health_words",
        )
    row = outbox.put(
        Text("manual", body, "nothing", seen.segments),
        key=f"man:{new_id()}",
        phone=phone,
        now=now,
        client=client,
        author=by,
        due_at=composing.daytime(client, now),
    )
    assert row is not None
    outbox.audit_manual(row, by=by, now=now)
    return row


def open_number(client: Client) -> PhoneNumber:
    """The client's number if texts may go to it now; raises Conflict."""
    phone = access.current_number(client)
    if phone is None or not phone.may_receive:
        raise Conflict(
            "This number takes no texts: the client ended them, or it is wrong."
            " Telephone instead."
        )
    if client.monitoring != client_states.ACTIVE:
        raise Conflict("The client is not on texts at present: telephone instead.")
    return phone
