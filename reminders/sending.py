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

from django.db import DatabaseError, IntegrityError, connection, transaction
from django.db.models import Q, QuerySet

from clinic import logs, scope
from clinic.logic.ids import new_id
from reminders import composing, delivering, links, outbox
from reminders.gateways.base import Gateway, Parcel, Receipt, Refused
from reminders.logic import delivery
from reminders.models import Outbound, OutboundEvent
from reminders.models import messages as states

log = logs.get("reminders.sending")
GROUP = 20
LEASE = timedelta(minutes=5)
MOST_ATTEMPTS = 5
LONGEST_WAIT, LONGEST_SAFETY_WAIT = timedelta(minutes=10), timedelta(minutes=1)
# The fault is in our account, not in the text: it waits until that is set right.
_OUR_SETUP = ("halt_queue", "halt_sender")


@dataclass(frozen=True, slots=True)
class _Outcome:
    """What became of one call; neither field: the text was taken back before it."""

    row: Outbound
    receipt: Receipt | None = None
    refused: Refused | None = None


def send_due(gateway: Gateway, now: datetime, *, most: int = 2000) -> int:
    """Send what is due, group by group; returns how many the gateway took."""
    taken = handled = 0
    while handled < most:
        count, took = send_group(gateway, now)
        handled, taken = handled + count, taken + took
        if count < GROUP:  # the rest, if any, fell due while this group was sent
            break
    return taken


def send_group(gateway: Gateway, now: datetime) -> tuple[int, int]:
    """Send one group: (rows handled, texts the gateway took); (0, 0) when none is due.

    A worker calls it with a fresh `now` each time, so that a slow gateway cannot
    stretch a lease or an old text past its end.
    """
    group = claim(now)
    outcomes = [_call(gateway, row, parcel) for row, parcel in group if parcel]
    return len(group), record(outcomes, now)


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
        with scope.within(row.organization_id):
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
]


def record(outcomes: Sequence[_Outcome], now: datetime) -> int:
    """Write the outcomes down; returns how many texts the gateway took.

    A gateway that gives one id to two texts spoils the second of them only.
    """
    try:
        return _record(outcomes, now)
    except IntegrityError:
        return sum(_record_alone(outcome, now) for outcome in outcomes)


def _record_alone(outcome: _Outcome, now: datetime) -> int:
    try:
        return _record([outcome], now)
    except IntegrityError:
        log.error("gateway_id_twice", outbound=str(outcome.row.id))
        doubtful = Refused(kind="unreadable_answer")
        return _record([_Outcome(outcome.row, refused=doubtful)], now)


@transaction.atomic
def _record(outcomes: Sequence[_Outcome], now: datetime) -> int:
    events: list[OutboundEvent] = []
    for outcome in outcomes:
        with scope.within(outcome.row.organization_id):
            events.append(_recorded(outcome, now))
    OutboundEvent.objects.across("one group spans organizations").bulk_create(events)
    return sum(outcome.receipt is not None for outcome in outcomes)


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


_MAY_LEAVE = (
    Q(phone__isnull=True)
    | Q(phone__opted_out_at__isnull=True, phone__wrong_at__isnull=True)
    | Q(kind__in=composing.AFTER_STOP)
)


def _due(now: datetime) -> QuerySet[Outbound]:
    """Due rows that may still leave, locked; the opt-out is part of the claim."""
    rows = (
        Outbound.objects.across("the sender serves every organization")
        .filter(state=states.PENDING, due_at__lte=now, not_after__gt=now)
        .filter(Q(next_try_at__isnull=True) | Q(next_try_at__lte=now))
        .filter(_MAY_LEAVE)
        .select_related("client__site", "phone", "organization")
        .order_by("priority", "due_at", "id")
    )
    if connection.features.has_select_for_update_skip_locked:
        rows = rows.select_for_update(skip_locked=True, of=("self",))
    return rows


def _prepared(row: Outbound, lease: UUID, now: datetime) -> Parcel | None:
    with scope.within(row.organization_id):
        if not _composed(row, now):
            return None
        row.lease, row.lease_until = lease, now + LEASE
        row.attempts += 1
        return Parcel(
            outbound_id=str(row.id),
            to=_number_of(row),
            sender=row.organization.sending_number,
            body=links.leaving(row),
            valid_seconds=int((row.not_after - now).total_seconds()),
        )


def _composed(row: Outbound, now: datetime) -> bool:
    """Whether the row has a body that is still wanted; ends it when not.

    One text that cannot be written must not keep the others from leaving.
    """
    try:
        wanted = composing.compose(row, now)
    except DatabaseError:
        raise
    except Exception as error:  # noqa: BLE001  whatever is wrong with this one text
        log.error("text_unwritable", outbound=str(row.id), error=type(error).__name__)
        row.state, row.error_code = "failed", "unwritable"
        return False
    if not wanted:
        row.state, row.error_code = "cancelled", "not_wanted"
    return wanted


def _call(gateway: Gateway, row: Outbound, parcel: Parcel) -> _Outcome:
    if not _may_still_leave(row):
        return _Outcome(row)
    try:
        return _Outcome(row, receipt=gateway.send(parcel))
    except Refused as refused:
        log.warning("text_refused", outbound=str(row.id), code=str(refused))
        return _Outcome(row, refused=refused)
    except Exception as error:  # noqa: BLE001  the rest of the group must not hang on it
        log.error("gateway_broke", outbound=str(row.id), error=type(error).__name__)
        return _Outcome(row, refused=Refused(kind="unreadable_answer"))


def _may_still_leave(row: Outbound) -> bool:
    """Asked again right before the call: an opt-out may have come since the claim."""
    rows = Outbound.objects.across("the sender serves every organization")
    mine = rows.filter(pk=row.pk, lease=row.lease, state=states.SENDING)
    return mine.filter(_MAY_LEAVE).exists()


def _recorded(outcome: _Outcome, now: datetime) -> OutboundEvent:
    if outcome.receipt:
        return _accepted(outcome.row, outcome.receipt, now)
    if outcome.refused:
        return _refused(outcome.row, outcome.refused, now)
    return _taken_back(outcome.row, now)


def _taken_back(row: Outbound, now: datetime) -> OutboundEvent:
    event = outbox.note(row, "cancelled", actor="sender", at=now, detail="opted_out")
    mine = Outbound.objects.filter(pk=row.pk, lease=row.lease, state=states.SENDING)
    mine.update(state="cancelled", error_code="opted_out", lease_until=None)
    return event


def _accepted(row: Outbound, receipt: Receipt, now: datetime) -> OutboundEvent:
    state = str(delivery.apply_status(delivery.State.SENDING, receipt.status))
    event = outbox.note(row, state, actor="gateway", at=now)
    mine = Outbound.objects.filter(pk=row.pk, lease=row.lease)
    # A callback may have come before this line and moved the text on: never back.
    changed = mine.filter(state=states.SENDING).update(
        state=state, gateway_id=receipt.gateway_id, sent_at=now, lease_until=None
    )
    if not changed:
        mine.filter(gateway_id__isnull=True).update(gateway_id=receipt.gateway_id)
        mine.filter(sent_at__isnull=True).update(sent_at=now)
    return event


def _refused(row: Outbound, refused: Refused, now: datetime) -> OutboundEvent:
    meant = delivery.reaction(
        code=refused.code, http_status=refused.http_status, exception=refused.kind
    )
    state = _state_after(meant, row)
    event = outbox.note(row, state, actor="gateway", at=now, detail=str(refused))
    values = {"state": state, "error_code": str(refused)[:32], "lease_until": None}
    if state == "unknown":
        values["sent_at"] = now
    if state == states.PENDING:
        values["next_try_at"] = now + _wait(row)
    Outbound.objects.filter(pk=row.pk, lease=row.lease, state=states.SENDING).update(
        **values
    )
    delivering.act_on(row, meant.action, now=now)
    return event


def _state_after(meant: delivery.Reaction, row: Outbound) -> str:
    """A text known not to be taken waits and is tried again until its own end."""
    if meant.retry == "ambiguous":
        return "unknown"
    if meant.retry == "yes" or meant.action in _OUR_SETUP:
        return states.PENDING
    if meant.retry in ("later", "once"):
        most = 2 if meant.retry == "once" else MOST_ATTEMPTS
        return states.PENDING if row.attempts < most else "failed"
    return "failed"


def _wait(row: Outbound) -> timedelta:
    """Longer each time; a safety text or a page is tried every minute."""
    longest = LONGEST_WAIT if row.priority else LONGEST_SAFETY_WAIT
    return min(timedelta(seconds=30 * 2 ** min(row.attempts - 1, 8)), longest)


def _number_of(row: Outbound) -> str:
    number: str = row.phone.number if row.phone else (row.staff_number or "")
    return number
