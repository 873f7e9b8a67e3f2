"""The first text to a new client: who texts, what to expect, HELP, STOP."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from clinic import access, consenting, enrolling
from clinic.enrolling import Enrollment
from clinic.errors import Conflict
from clinic.models import Client, Site, Staff
from reminders import composing, outbox
from reminders.models import Outbound


@transaction.atomic
def enroll(
    site: Site, clinician: Staff, details: Enrollment, *, by: Staff, now: datetime
) -> Client:
    """Register the client and send the first text; raises BadInput or Conflict."""
    client = enrolling.enroll(site, clinician, details, by=by, now=now)
    send_welcome(client, now=now)
    return client


def is_taken(site: Site, raw: str) -> bool:
    """Whether a typed number reaches a client already; raises BadInput."""
    with transaction.atomic():
        phone = enrolling.number_of(site, raw)
        taken = bool(consenting.holders(phone))
        # Asking leaves no row behind for a number nobody enrolls.
        transaction.set_rollback(True)
    return taken


@transaction.atomic
def change_number(client: Client, raw: str, *, by: Staff, now: datetime) -> None:
    """Another number for the client: it gets a first text and must answer it."""
    enrolling.change_number(client, raw, by=by, now=now)
    Client.objects.filter(pk=client.pk).update(
        monitoring="pending", ended_reason="", ended_at=None
    )
    client.refresh_from_db()
    send_welcome(client, now=now)


def send_welcome(client: Client, *, now: datetime) -> Outbound | None:
    """Put the first text into the outbox, in the client's daytime."""
    phone = access.current_number(client)
    if phone is None or phone.opted_out_at is not None:
        raise Conflict(
            "This number ended the texts: only the person who has it can start them"
            " again, by texting START."
        )
    if phone.wrong_at is not None:
        raise Conflict("This number belongs to somebody else: ask for another one.")
    text = composing.site_text("welcome", client.site, client.language)
    return outbox.put(
        text,
        key=f"wel:{client.id}:{phone.id}",
        phone=phone,
        now=now,
        client=client,
        due_at=composing.daytime(client, now),
    )
