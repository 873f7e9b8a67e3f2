"""An opt-out that reached the clinic by another way than a text."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from clinic import access, audit, consenting
from clinic.errors import Conflict
from clinic.models import Client, Staff
from reminders import alerting, desk, outbox
from reminders.logic.findings import Finding
from reminders.logic.urgency import REVIEW


@transaction.atomic
def opt_out_on_request(client: Client, *, by: Staff, now: datetime) -> None:
    """The client said at the desk or by telephone that the texts must end.

    A reasonable wording by any way counts as a revocation (47 CFR 64.1200(a)(10)). It
    sits on the number, so everybody the number reaches is no longer monitored, a
    clinician is told, and only the person who has it can start again, by texting
    START. Raises Conflict when there is no number, or it has ended the texts already.
    """
    phone = access.current_number(client)
    if phone is None or phone.opted_out_at is not None:
        raise Conflict("No text leaves to this client any more already.")
    outbox.cancel_pending(phone, now=now, why="opted_out")
    for ended in consenting.withdraw(phone, inbound=None, now=now):
        alerting.raise_alert(
            ended, [Finding("opted_out", REVIEW)], now=now, actor=f"staff:{by.id}"
        )
        desk.open_task("opted_out", client=ended, now=now)
        audit.record("client.opt_out_recorded", ended, actor=by, at=now)
    client.refresh_from_db()
