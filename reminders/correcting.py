"""Correcting the record: a report that does not count, texts ended by word of mouth."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from clinic import access, audit, consenting
from clinic.errors import Conflict
from clinic.models import Client, Staff
from programs import assessing, reporting
from programs.models import SessionReport
from reminders import alerting, conversation, desk, outbox, surroundings
from reminders.logic.findings import Finding
from reminders.logic.urgency import REVIEW


@transaction.atomic
def end_texts(client: Client, *, by: Staff, now: datetime) -> None:
    """The client asked a person to end the texts: the same as STOP by text.

    A person may take consent back by any reasonable means (47 CFR 64.1200(a)(10)).
    It sits on the number: everybody it reaches is no longer monitored, a clinician
    is told, and only the person who has the number can start again. Raises Conflict
    when there is no number or it has ended the texts already.
    """
    phone = access.current_number(client)
    if phone is None or phone.opted_out_at is not None:
        raise Conflict("No texts go to this client.")
    outbox.cancel_pending(phone, now=now, why="opted_out")
    for ended in consenting.withdraw(phone, inbound=None, now=now):
        alerting.raise_alert(
            ended, [Finding("opted_out", REVIEW)], now=now, actor=f"staff:{by.id}"
        )
        desk.open_task("opted_out", client=ended, now=now)
        audit.record("client.texts_ended", ended, actor=by, at=now)
    client.refresh_from_db()


@transaction.atomic
def void_report(
    report: SessionReport, *, reason: str, by: Staff, now: datetime
) -> None:
    """Take a report out and assess again; an open alert stays for its clinician."""
    reporting.void(report, reason=reason, by=by, now=now)
    due = conversation.reminders_sent(report.client, now)
    around = surroundings.around(report.client, now)
    assessing.assess_client(report.client, due=due, now=now, around=around)
