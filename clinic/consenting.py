"""Consent and its withdrawal: the only writers of consent events and number marks."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.db import transaction

from clinic import audit
from clinic.models import Client, ClientNumber, ConsentEvent, PhoneNumber, Staff
from clinic.models import clients as states
from clinic.models import consent as kinds


def record_consent(
    client: Client, phone: PhoneNumber, *, wording: str, by: Staff, now: datetime
) -> ConsentEvent:
    """Staff noted that the client agreed to texts, in these words."""
    return _event(client, phone, kinds.RECORDED, now=now, wording=wording, by=by)


@transaction.atomic
def confirm(
    client: Client, phone: PhoneNumber, *, inbound: UUID, now: datetime
) -> None:
    """The client answered the first text: reminders may start."""
    _event(client, phone, kinds.CONFIRMED, now=now, inbound=inbound)
    Client.objects.filter(pk=client.pk, monitoring=states.PENDING).update(
        monitoring=states.ACTIVE, monitored_since=now
    )
    client.refresh_from_db(fields=["monitoring", "monitored_since"])
    audit.record("client.confirmed", client, actor=f"client:{client.id}", at=now)


@transaction.atomic
def withdraw(
    phone: PhoneNumber, *, inbound: UUID | None, now: datetime
) -> list[Client]:
    """Opt-out of a number: no text leaves any more; returns whom it reached.

    Every client the number reaches is no longer monitored. Staff cannot undo it.
    """
    PhoneNumber.objects.filter(pk=phone.pk).update(opted_out_at=now)
    phone.opted_out_at = now
    return _end_for_number(phone, kinds.WITHDRAWN, "opted_out", inbound, now)


@transaction.atomic
def mark_wrong(
    phone: PhoneNumber, *, inbound: UUID | None, now: datetime
) -> list[Client]:
    """The person at the number is not the client: stop, reveal nothing."""
    PhoneNumber.objects.filter(pk=phone.pk).update(wrong_at=now)
    phone.wrong_at = now
    return _end_for_number(phone, kinds.WRONG_NUMBER, "wrong_number", inbound, now)


@transaction.atomic
def resume(phone: PhoneNumber, *, inbound: UUID, now: datetime) -> list[Client]:
    """The person at the number asked for texts again; only they can."""
    PhoneNumber.objects.filter(pk=phone.pk).update(opted_out_at=None)
    phone.opted_out_at = None
    resumed = []
    for client in holders(phone):
        _event(client, phone, kinds.RESUMED, now=now, inbound=inbound)
        if client.monitoring == states.ENDED and client.ended_reason == "opted_out":
            _set_monitoring(client, states.ACTIVE, "", None, since=now)
            audit.record("client.resumed", client, actor=f"client:{client.id}", at=now)
            resumed.append(client)
    return resumed


@transaction.atomic
def restart(client: Client, *, now: datetime) -> None:
    """A client who fell silent wrote again: they are monitored from now on."""
    _set_monitoring(client, states.ACTIVE, "", None, since=now)
    audit.record("client.restarted", client, actor=f"client:{client.id}", at=now)


@transaction.atomic
def end_monitoring(
    client: Client, reason: str, *, actor: Staff | str, now: datetime
) -> None:
    """The client is no longer monitored (silent, discharged, undelivered)."""
    _set_monitoring(client, states.ENDED, reason, now)
    audit.record("client.ended", client, actor=actor, at=now, reason=reason)


def holders(phone: PhoneNumber) -> list[Client]:
    """The clients the number reaches now; more than one when it is shared."""
    rows = ClientNumber.objects.filter(phone=phone, until__isnull=True)
    return [
        row.client
        for row in rows.select_related("client__site", "client__clinician").order_by(
            "since", "id"
        )
    ]


def reached(phone: PhoneNumber) -> list[Client]:
    """Whom a text from the number may be from: nobody, once it is somebody else's."""
    return [] if phone.wrong_at is not None else holders(phone)


def _end_for_number(
    phone: PhoneNumber, kind: str, reason: str, inbound: UUID | None, now: datetime
) -> list[Client]:
    ended = holders(phone)
    for client in ended:
        _event(client, phone, kind, now=now, inbound=inbound)
        _set_monitoring(client, states.ENDED, reason, now)
        actor = f"client:{client.id}"
        audit.record("client.ended", client, actor=actor, at=now, reason=reason)
    if not ended:
        _event(None, phone, kind, now=now, inbound=inbound)
    return ended


def _set_monitoring(
    client: Client,
    state: str,
    reason: str,
    ended_at: datetime | None,
    *,
    since: datetime | None = None,
) -> None:
    values = {"monitoring": state, "ended_reason": reason, "ended_at": ended_at}
    if since:
        values["monitored_since"] = since
    Client.objects.filter(pk=client.pk).update(**values)
    for name, value in values.items():
        setattr(client, name, value)


def _event(
    client: Client | None,
    phone: PhoneNumber,
    kind: str,
    *,
    now: datetime,
    wording: str = "",
    by: Staff | None = None,
    inbound: UUID | None = None,
) -> ConsentEvent:
    return ConsentEvent.objects.create(
        organization_id=phone.organization_id,
        client=client,
        phone=phone,
        kind=kind,
        wording=wording,
        language=client.language if client else "en",
        at=now,
        by=by,
        inbound_id=inbound,
    )
