"""Questions asked back, and what an unanswered one comes to.

A safety or "who is this about" question that stays open is treated as the worse
answer; one about reach or pain simply ends with the next reminder, which asks
the same thing again.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from reminders.logic.findings import Finding
from reminders.logic.urgency import SAME_DAY

SAFETY_UNANSWERED: Final = "safety_unanswered"
WHO_UNANSWERED: Final = "who_unanswered"

_WAITS: Final[dict[str, tuple[timedelta, str]]] = {
    "safety": (timedelta(minutes=60), SAFETY_UNANSWERED),
    "who": (timedelta(minutes=30), WHO_UNANSWERED),
}


@dataclass(frozen=True, slots=True)
class AskBack:
    """One question sent back: its kind, when, and when it was answered if it was."""

    kind: str
    asked_at: datetime
    answered_at: datetime | None = None


def deadline(ask_back: AskBack) -> datetime | None:
    """Return when an unanswered question becomes an alert; None if it never does."""
    wait = _WAITS.get(ask_back.kind)
    return None if wait is None else ask_back.asked_at + wait[0]


def unanswered(ask_back: AskBack, *, now: datetime) -> Finding | None:
    """Return the `same_day` finding of a safety or who question left open too long."""
    if ask_back.kind not in _WAITS or ask_back.answered_at is not None:
        return None
    wait, reason = _WAITS[ask_back.kind]
    return Finding(reason, SAME_DAY) if now >= ask_back.asked_at + wait else None


def is_open(ask_back: AskBack, *, last_reminder_at: datetime | None) -> bool:
    """Say whether the next reply may still answer this question.

    A reach or pain question ends with the reminder sent after it, so that a bare
    "3" answers the reminder; a safety or who question outlasts reminders.
    """
    if ask_back.answered_at is not None:
        return False
    if ask_back.kind in _WAITS or last_reminder_at is None:
        return True
    return last_reminder_at <= ask_back.asked_at
