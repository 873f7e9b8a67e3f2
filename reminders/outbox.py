"""The outbox: rows of texts, written inside the transaction that wants them.

A text that must leave with a decision, an answer or an alert is a row of the same
commit; the wake-up after it is only a hint, the sweep finds the row anyway.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db import IntegrityError, transaction

from clinic import audit
from clinic.models import Client, OnCallEntry, PhoneNumber, Staff
from reminders.logic.wording import Text
from reminders.models import Outbound, OutboundEvent
from reminders.models import messages as states
from reminders.signals import text_waiting

ANSWER_PRIORITY, SAFETY_PRIORITY, REMINDER_PRIORITY = 2, 0, 5
ANSWER_WORTH = timedelta(hours=12)


def put(
    text: Text,
    *,
    key: str,
    phone: PhoneNumber,
    now: datetime,
    client: Client | None = None,
    priority: int = ANSWER_PRIORITY,
    author: Staff | None = None,
    due_at: datetime | None = None,
) -> Outbound | None:
    """Add a text to a client's number; None when this key has its text already."""
    due = due_at or now
    row = Outbound(
        organization_id=phone.organization_id,
        client=client,
        phone=phone,
        key=key,
        kind=text.kind,
        asks=text.asks or "",
        body=text.body,
        parts=text.segments.parts,
        priority=priority,
        due_at=due,
        not_after=due + ANSWER_WORTH,
        author=author,
    )
    return _added(row)


def page_staff(
    text: Text, entry: OnCallEntry, *, key: str, now: datetime
) -> Outbound | None:
    """Add a text to a person on call; it carries no name and no health word."""
    row = Outbound(
        organization_id=entry.organization_id,
        staff=entry.staff,
        staff_number=entry.number,
        key=key,
        kind=text.kind,
        body=text.body,
        parts=text.segments.parts,
        priority=SAFETY_PRIORITY,
        due_at=now,
        not_after=now + ANSWER_WORTH,
    )
    return _added(row)


def cancel_pending(phone: PhoneNumber, *, now: datetime, why: str) -> int:
    """Take back every text to the number that has not left."""
    rows = Outbound.objects.filter(phone=phone, state=states.PENDING)
    return rows.update(state="cancelled", error_code=why)


def reopen(phone: PhoneNumber) -> int:
    """The person took their opt-out back: the planner may use the days' rows again."""
    rows = Outbound.objects.filter(
        phone=phone, state="cancelled", error_code="opted_out", local_date__isnull=False
    )
    return rows.update(error_code="replanned")


def cancel_nudges(client: Client) -> int:
    """The client wrote: a nudge about silence that has not left is pointless."""
    rows = Outbound.objects.filter(client=client, state=states.PENDING, kind="nudge")
    return rows.update(state="cancelled", error_code="answered")


def note(
    row: Outbound, to_state: str, *, actor: str, at: datetime, detail: str = ""
) -> OutboundEvent:
    """Keep what happened to a text; the row's own state is the caller's to set."""
    return OutboundEvent(
        organization_id=row.organization_id,
        outbound=row,
        at=at,
        from_state=row.state,
        to_state=to_state,
        actor=actor,
        detail=detail[:40],
    )


def audit_manual(row: Outbound, *, by: Staff, now: datetime) -> None:
    """A staff member's own text leaves an audit line."""
    audit.record("text.written", row, actor=by, at=now, client=row.client_id)


def _added(row: Outbound) -> Outbound | None:
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError:
        return None
    _wake()
    return row


def _wake() -> None:
    transaction.on_commit(lambda: text_waiting.send_robust(Outbound), robust=True)
