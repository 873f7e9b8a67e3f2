"""The order of the morning list: what must be seen first stands first."""

from datetime import datetime

from reminders.logic.urgency import EMERGENCY, rank

TriageKey = tuple[int, int, bool, datetime]


def triage_key(
    urgency: str, *, held: bool, act_by: datetime, opened_at: datetime, now: datetime
) -> TriageKey:
    """Return the sort key of one row, smallest first.

    Emergencies, then clients whose program is held (they do nothing until
    somebody decides), then by urgency; within one urgency what is past its time
    to act, then the oldest. Raises ValueError for an unknown urgency.
    """
    place = 0 if urgency == EMERGENCY else 1 if held else 2
    return (place, rank(urgency), act_by > now, opened_at)
