"""The audit chain: one line for every write, in the same transaction as the write.

Each entry's digest covers the one before it (SHA-256 over canonical JSON), so an
edited, removed or reordered line shows. `verify` names the first bad line.
"""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from django.db import connection, models

from clinic import scope
from clinic.models import AuditEntry, AuditHead, Organization, Staff

SERVICE = "service"


def record(
    action: str,
    subject: models.Model,
    *,
    actor: Staff | str,
    at: datetime,
    **detail: Any,
) -> AuditEntry:
    """Add the line for a write about `subject` (a row with an organization and id).

    `actor` is a staff member, or a word such as "service" or "client:<id>".
    `detail` holds ids, codes and numbers only. Raises when no transaction is open,
    because a line without its write, or a write without its line, proves nothing.
    """
    if not connection.in_atomic_block:
        raise RuntimeError("An audit line is written inside the write's transaction.")
    organization_id = scope.current()
    head = _locked_head(organization_id)
    entry = AuditEntry(
        organization_id=organization_id,
        sequence=head.sequence + 1,
        at=at,
        actor=f"staff:{actor.id}" if isinstance(actor, Staff) else actor,
        action=action,
        subject_type=subject._meta.model_name,
        subject_id=subject.pk,
        detail=json.loads(json.dumps(detail, default=str)),
        previous=head.digest,
    )
    entry.digest = digest(entry)
    entry.save(force_insert=True)
    AuditHead.objects.filter(pk=organization_id).update(
        sequence=entry.sequence, digest=entry.digest
    )
    return entry


def digest(entry: AuditEntry) -> str:
    """The digest an entry must carry: hex SHA-256 over its canonical content."""
    content = [
        str(entry.organization_id),
        entry.sequence,
        entry.at.astimezone(UTC).isoformat(timespec="microseconds"),
        entry.actor,
        entry.action,
        entry.subject_type,
        str(entry.subject_id),
        entry.detail,
        entry.previous,
    ]
    canonical = json.dumps(content, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(canonical.encode()).hexdigest()


def verify(organization: Organization) -> tuple[int, str | None]:
    """Walk the chain: (lines that hold, what is wrong with the first bad one)."""
    previous, count = "0" * 64, 0
    for entry in AuditEntry.objects.order_by("sequence").iterator(chunk_size=2000):
        fault = _fault(entry, count + 1, previous)
        if fault:
            return count, fault
        previous, count = entry.digest, count + 1
    head = AuditHead.objects.filter(pk=organization.pk).first()
    if head and (head.sequence, head.digest) != (count, previous):
        return count, f"line {count + 1}: missing, the chain ends before its head"
    return count, None


def _fault(entry: AuditEntry, expected: int, previous: str) -> str | None:
    if entry.sequence != expected:
        return f"line {expected}: missing, next is {entry.sequence}"
    if entry.previous != previous:
        return f"line {expected}: does not follow the line before it"
    if entry.digest != digest(entry):
        return f"line {expected}: content was changed"
    return None


def _locked_head(organization_id: UUID) -> AuditHead:
    heads = AuditHead.objects.select_for_update()
    head = heads.filter(pk=organization_id).first()
    if head is None:
        AuditHead.objects.get_or_create(pk=organization_id)
        head = heads.get(pk=organization_id)
    return head
