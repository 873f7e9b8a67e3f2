"""Health probes over the rows: is anything due and not leaving, in and not read."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from clinic import clock
from reminders.models import Inbound, Outbound
from reminders.models import messages as states

LATE_AFTER = timedelta(minutes=2)


def behind_since(now: datetime) -> datetime | None:
    """Since when the service is behind: the oldest due text or unread reply."""
    due = (
        Outbound.objects.across("health of the whole service")
        .filter(state=states.PENDING, due_at__lt=now - LATE_AFTER, not_after__gt=now)
        .order_by("due_at")
        .values_list("due_at", flat=True)
        .first()
    )
    unread = (
        Inbound.objects.across("health of the whole service")
        .filter(state__in=("received", "unread"), received_at__lt=now - LATE_AFTER)
        .order_by("received_at")
        .values_list("received_at", flat=True)
        .first()
    )
    found = [at for at in (due, unread) if at is not None]
    return min(found) if found else None


def _behind() -> tuple[bool, Any]:
    since = behind_since(clock.now())
    return since is None, since.isoformat() if since else None


ALL = {"behind_since": _behind}
