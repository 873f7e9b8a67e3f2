"""Delivery news: status callbacks in any order, and what a refusal sets off."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.db import transaction

from clinic import consenting, logs, scope
from reminders import alerting, desk, outbox
from reminders.logic import delivery
from reminders.logic.findings import Finding
from reminders.logic.urgency import NEXT_DAY, REVIEW
from reminders.models import Outbound

log = logs.get("reminders.delivering")
# The codes that say a number cannot be reached become a front-desk task.
_DESK = {
    "flag_number": "number_failed",
    "flag_route": "number_failed",
    "contact_task": "number_failed",
    "halt_queue": "sender_setup",
    "halt_sender": "sender_setup",
    "halt_region": "sender_setup",
    "warn_operator": "sender_setup",
    "our_fault": "sender_setup",
    "show_staff": "sender_setup",
}

_OF_THE_ACCOUNT = ("halt_queue", "halt_sender", "warn_operator")


def apply_status(
    *,
    gateway_id: str,
    outbound_id: UUID | None,
    status: str,
    error_code: str,
    now: datetime,
) -> bool:
    """Apply a status callback; False for a text nobody knows (harmless)."""
    if not gateway_id:
        return False
    with transaction.atomic():
        row = _found(gateway_id, outbound_id)
        if row is None or row.gateway_id not in (None, gateway_id):
            return False
        with scope.within(row.organization_id):
            return _moved(row, gateway_id, status, error_code, now)


def act_on(row: Outbound, action: str, *, now: datetime) -> None:
    """What a refusal means beyond the text itself: opt-out, desk task, nothing."""
    if action == "record_opt_out" and row.phone:
        if not row.phone.may_receive:
            return
        outbox.cancel_pending(row.phone, now=now, why="opted_out")
        for client in consenting.withdraw(row.phone, inbound=None, now=now):
            alerting.raise_alert(
                client, [Finding("opted_out", REVIEW)], now=now, actor="gateway"
            )
        return
    code = _DESK.get(action)
    if code is None:
        return
    # A fault of the account is one task, not one a client.
    concerns = None if action in _OF_THE_ACCOUNT else row.client
    desk.open_task(code, client=concerns, now=now)
    if code == "number_failed" and row.client:
        alerting.raise_alert(
            row.client, [Finding("undelivered", NEXT_DAY)], now=now, actor="gateway"
        )


def _moved(
    row: Outbound, gateway_id: str, status: str, error_code: str, now: datetime
) -> bool:
    before = delivery.State(row.state)
    after = delivery.apply_status(before, status)
    if delivery.contradicts(before, status):
        log.warning("callbacks_disagree", outbound=str(row.id), state=str(before))
    outbox.note(row, str(after), actor="callback", at=now, detail=status).save()
    values = {"state": str(after), "error_code": error_code[:32] or row.error_code}
    if row.gateway_id is None:
        values["gateway_id"] = gateway_id
    if row.sent_at is None:
        # The callback may come before the create answer is recorded, or without it.
        values["sent_at"] = now
    Outbound.objects.filter(pk=row.pk).update(**values)
    failed = after in (delivery.State.FAILED, delivery.State.UNDELIVERED)
    if failed and after != before:
        code = int(error_code[:9]) if error_code.isdecimal() else None
        act_on(row, delivery.reaction(code=code).action, now=now)
    return True


def _found(gateway_id: str, outbound_id: UUID | None) -> Outbound | None:
    """The text, locked: two callbacks at once are applied one after the other."""
    rows = Outbound.objects.across("a callback names a text, not an organization")
    rows = rows.select_for_update()
    found = rows.filter(gateway_id=gateway_id).first()
    if found is None and outbound_id is not None:
        found = rows.filter(pk=outbound_id).first()
    return found
