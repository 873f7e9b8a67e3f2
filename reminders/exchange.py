"""The texts between a client and the clinic, both ways, newest first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import F, Q
from django.db.models.functions import Coalesce

from clinic.models import Client
from reminders.models import Inbound, Outbound

# Rows that wait for their moment or were taken back are plans, not texts.
UNSENT = ("pending", "cancelled", "expired")


@dataclass(frozen=True, slots=True)
class Place:
    """Where a page of the thread ended: the moment and id of its last text."""

    at: datetime
    id: UUID


def texts(
    client: Client, *, before: Place | datetime | None = None, most: int = 50
) -> list[Inbound | Outbound]:
    """The newest texts before a place; each has `at`, the moment it belongs to.

    Reminders that have not left are not part of it; a person's own text is, from the
    moment it was written, so that colleagues see what is on its way.
    """
    came = Inbound.objects.filter(client=client).annotate(at=F("received_at"))
    went = (
        Outbound.objects.filter(client=client)
        .exclude(~Q(kind="manual"), state__in=UNSENT)
        .select_related("author")
        .annotate(at=Coalesce("sent_at", "due_at"))
    )
    found: list[Any] = [*_newest(came, before, most), *_newest(went, before, most)]
    found.sort(key=lambda row: (row.at, row.id), reverse=True)
    return found[:most]


def place_of(row: Any) -> Place:
    """The place of a row that `texts` gave."""
    return Place(row.at, row.id)


def _newest(rows: Any, before: Place | datetime | None, most: int) -> Any:
    if isinstance(before, datetime):
        rows = rows.filter(at__lt=before)
    elif before is not None:
        rows = rows.filter(Q(at__lt=before.at) | Q(at=before.at, id__lt=before.id))
    return rows.order_by("-at", "-id")[:most]
