"""Device tokens: issued once, kept as a digest, revoked at once."""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime, timedelta

from django.db import transaction

from clinic import audit, scope
from clinic.models import DeviceToken, Staff

LIFETIME = timedelta(days=180)
USED_EVERY = timedelta(minutes=5)


def digest_of(token: str) -> str:
    """What is stored of a token: the SHA-256 of 256 random bits."""
    return hashlib.sha256(token.encode()).hexdigest()


@transaction.atomic
def issue(staff: Staff, device: str, *, now: datetime) -> tuple[DeviceToken, str]:
    """A new token for a device: the row and the token, which is shown only here."""
    token = secrets.token_urlsafe(32)
    with scope.within(staff.organization_id):
        row = DeviceToken.objects.create(
            organization_id=staff.organization_id,
            staff=staff,
            device=device[:80],
            digest=digest_of(token),
            created_at=now,
            expires_at=now + LIFETIME,
        )
        audit.record("token.issued", row, actor=staff, at=now)
    return row, token


@transaction.atomic
def revoke(token: DeviceToken, *, by: Staff, now: datetime) -> None:
    """The device is out from the next request on."""
    if token.revoked_at is None:
        DeviceToken.objects.filter(pk=token.pk).update(revoked_at=now)
        audit.record("token.revoked", token, actor=by, at=now)


def mark_used(token: DeviceToken, *, now: datetime) -> None:
    """Note that the device called, at most every five minutes; no audit line.

    That is enough to list devices by last use, and spares a write a call.
    """
    if token.last_used_at is not None and now - token.last_used_at <= USED_EVERY:
        return
    rows = DeviceToken.objects.across("the token names its organization")
    rows.filter(pk=token.pk).update(last_used_at=now)
