"""Sending: claim what is due, write the intent down, call the gateway, record.

1. Claim a group in one transaction: due, still wanted, number not opted out; write
   the body and set `sending` with a lease before any call (write-ahead intent).
2. Call the gateway with no transaction open and a timeout.
3. Record each outcome under the lease. A doubtful one becomes `unknown` and is
   never sent again blindly: a missed reminder costs less than a double one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db import connection, transaction
from django.db.models import Q, QuerySet

from clinic import logs, scope
from clinic.logic.ids import new_id
from reminders import composing, delivering, outbox
from reminders.gateways.base import Gateway, Parcel, Receipt, Refused
from reminders.logic import delivery
from reminders.models import Outbound, OutboundEvent
from reminders.models import messages as states

log = logs.get("reminders.sending")
GROUP = 20
LEASE = timedelta(minutes=5)
MOST_ATTEMPTS = 5


@dataclass(frozen=True, slots=True)
class _Outcome:
    row: Outbound
    receipt: Receipt | None = None
    refused: Refused | None = None


def send_due(gateway: Gateway, now: datetime, *, most: int = 2000) -> int:
    """Send what is due, group by group; returns how many the gateway took."""
    taken = handled = 0
    while handled < most:
        group = claim(now)
        if not group:
            break
        handled += len(group)
        outcomes = [_call(gateway, row, parcel) for row, parcel in group if parcel]
        taken += record(outcomes, now)
    return taken


@transaction.atomic
def claim(now: datetime) -> list[tuple[Outbound, Parcel | None]]:
    """Take a group of due texts and write down that they are being sent.

    Rows that must not leave are ended here and come back without a parcel.
    """
    rows = list(_due(now)[:GROUP])
    lease = new_id()
    group = [(row, _prepared(row, lease, now)) for row in rows]
    for row, parcel in group:
        if parcel:
            row.state = states.SENDING
        row.save(update_fields=_CLAIM_FIELDS)
    return group


_CLAIM_FIELDS = [
    "state",
    "error_code",
    "lease",
    "lease_until",
    "attempts",
    "body",
    "asks",
    "kind",
    "parts",
    "due_at",
]


@transaction.atomic
def record(outcomes: Sequence[_Outcome], now: datetime) -> int:
    """Write the outcomes down; returns how many texts the gateway took."""
    events: list[OutboundEvent] = []
    taken = 0
    for outcome in outcomes:
        with scope.within(outcome.row.organization_id):
            if outcome.receipt:
                events.append(_accepted(outcome.row, outcome.receipt, now))
                taken += 1
            else:
                events.append(_refused(outcome.row, outcome.refused, now))
    OutboundEvent.objects.across("one group spans organizations").bulk_create(events)
    return taken


def expire_and_release(now: datetime) -> int:
    """End what is too late, and what a dead worker left half sent becomes unknown."""
    late = Outbound.objects.across("sweep").filter(
        state=states.PENDING, not_after__lte=now
    )
    expired = late.update(state="expired", error_code="late")
    lost = Outbound.objects.across("sweep").filter(
        state=states.SENDING, lease_until__lt=now
    )
    unknown = 0
    for row in lost[:500]:
        with scope.within(row.organization_id), transaction.atomic():
            event = outbox.note(row, "unknown", actor="sweep", at=now, detail="lease")
            changed = Outbound.objects.filter(
                pk=row.pk, state=states.SENDING, lease=row.lease
            ).update(state="unknown", error_code="process_lost", sent_at=now)
            if changed:
                event.save(force_insert=True)
                unknown += 1
    if expired or unknown:
        log.warning("texts_ended", count=expired + unknown, state="expired_or_unknown")
    return expired + unknown


def _due(now: datetime) -> QuerySet[Outbound]:
    """Due rows that may still leave, locked; the opt-out is part of the claim."""
    open_number = Q(phone__opted_out_at__isnull=True, phone__wrong_at__isnull=True)
    rows = (
        Outbound.objects.across("the sender serves every organization")
        .filter(state=states.PENDING, due_at__lte=now, not_after__gt=now)
        .filter(open_number | Q(phone__isnull=True) | Q(kind__in=composing.AFTER_STOP))
        .select_related("client__site", "phone", "organization")
        .order_by("priority", "due_at", "id")
    )
    if connection.features.has_select_for_update_skip_locked:
        rows = rows.select_for_update(skip_locked=True, of=("self",))
    return rows


def _prepared(row: Outbound, lease: UUID, now: datetime) -> Parcel | None:
    with scope.within(row.organization_id):
        wanted = composing.compose(row, now)
        if not wanted:
            row.state, row.error_code = "cancelled", "not_wanted"
            return None
        row.lease, row.lease_until = lease, now + LEASE
        row.attempts += 1
        return Parcel(
            outbound_id=str(row.id),
            to=_number_of(row),
            sender=row.organization.sending_number,
            body=row.body,
            valid_seconds=int((row.not_after - now).total_seconds()),
        )


def _call(gateway: Gateway, row: Outbound, parcel: Parcel) -> _Outcome:
    try:
        return _Outcome(row, receipt=gateway.send(parcel))
    except Refused as refused:
        log.warning("text_refused", outbound=str(row.id), code=str(refused))
        return _Outcome(row, refused=refused)


def _accepted(row: Outbound, receipt: Receipt, now: datetime) -> OutboundEvent:
    state = str(delivery.apply_status(delivery.State.SENDING, receipt.status))
    event = outbox.note(row, state, actor="gateway", at=now)
    mine = Outbound.objects.filter(pk=row.pk, lease=row.lease)
    # A callback may have come before this line and moved the text on: never back.
    changed = mine.filter(state=states.SENDING).update(
        state=state, gateway_id=receipt.gateway_id, sent_at=now, lease_until=None
    )
    if not changed:
        mine.filter(gateway_id__isnull=True).update(
            gateway_id=receipt.gateway_id, sent_at=now
        )
    row.state = state
    return event


def _refused(row: Outbound, refused: Refused | None, now: datetime) -> OutboundEvent:
    assert refused is not None
    meant = delivery.reaction(
        code=refused.code, http_status=refused.http_status, exception=refused.kind
    )
    state = _state_after(meant.retry, row)
    event = outbox.note(row, state, actor="gateway", at=now, detail=str(refused))
    values = {"state": state, "error_code": str(refused)[:32], "lease_until": None}
    if state == "unknown":
        values["sent_at"] = now
    if state == states.PENDING:
        values["due_at"] = now + timedelta(seconds=30 * 2**row.attempts)
    Outbound.objects.filter(pk=row.pk, lease=row.lease, state=states.SENDING).update(
        **values
    )
    delivering.act_on(row, meant.action, now=now)
    return event


def _state_after(retry: str, row: Outbound) -> str:
    if retry == "ambiguous":
        return "unknown"
    if retry in ("yes", "later", "once"):
        most = 2 if retry == "once" else MOST_ATTEMPTS
        return states.PENDING if row.attempts < most else "failed"
    return "failed"


def _number_of(row: Outbound) -> str:
    number: str = row.phone.number if row.phone else (row.staff_number or "")
    return number
