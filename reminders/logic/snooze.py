"""Which alert may be put away for some days, and when it comes back.

Putting away is for what a person has looked at and that needs time, such as a client
who skips while on a trip. What may be an emergency, and what nobody has understood
yet, is decided on instead. The longest time is common practice: two weekly reviews.
"""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from typing import Final

from reminders.logic.ask_backs import SAFETY_UNANSWERED, WHO_UNANSWERED
from reminders.logic.findings import WHO
from reminders.logic.timing import SiteHours
from reminders.logic.urgency import EMERGENCY
from reminders.logic.warning_signs import WARNING_KINDS

LONGEST_DAYS: Final = 14
LONGEST_REASON: Final = 500

NEVER_PUT_AWAY: Final = frozenset(WARNING_KINDS) | {
    SAFETY_UNANSWERED,
    WHO_UNANSWERED,
    WHO,
    "about_client",
    "unread",
}


def may_be_put_away(urgency: str, reasons: Iterable[str]) -> bool:
    """Whether a chain of this urgency and these reasons may be put away."""
    return urgency != EMERGENCY and not NEVER_PUT_AWAY & set(reasons)


def back_at(until: date, now: datetime, hours: SiteHours) -> datetime:
    """When a chain put away until the local day `until` is shown again, in UTC.

    At the start of that day, so that the morning's list has it whenever the doors
    open. Raises ValueError unless the day is tomorrow to `LONGEST_DAYS` ahead.
    """
    today = now.astimezone(hours.zone).date()
    last = today + timedelta(days=LONGEST_DAYS)
    if not today < until <= last:
        raise ValueError(f"Choose a day from tomorrow to {last:%B} {last.day}.")
    return hours.whole_day(until)[0]
