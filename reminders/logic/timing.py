"""By when a person must act, counted in a site's own hours.

Times are wall-clock times of the site turned into UTC, so an hour is an hour on
clock-change days; a wall time that a change repeats is its first occurrence and
one that it skips moves later (RFC 5545 section 3.3.5).
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from itertools import pairwise
from typing import Final

from reminders.logic.urgency import EMERGENCY, NEXT_DAY, SAME_DAY, rank

EMERGENCY_WITHIN: Final = timedelta(minutes=15)
SAME_DAY_WITHIN: Final = timedelta(hours=2)
NOON: Final = time(12)

# A site that never opens again (no hours entered, or closed for good) must not
# leave an alert without a time to act: the clock then runs day and night.
_LOOK_AHEAD_DAYS: Final = 60
_ROUND_THE_CLOCK: Final[dict[str, timedelta]] = {
    SAME_DAY: SAME_DAY_WITHIN,
    NEXT_DAY: timedelta(hours=24),
}
_ROUND_THE_CLOCK_REVIEW: Final = timedelta(hours=48)

OpeningTimes = Mapping[int, Sequence[tuple[time, time]]]


@dataclass(frozen=True, slots=True)
class Opening:
    """One stretch of open hours, in UTC; the end is not part of it."""

    start: datetime
    end: datetime


@dataclass(frozen=True, slots=True)
class SiteHours:
    """When a site is staffed: opening times a weekday (Monday 0), and closures.

    Raises ValueError for a weekday outside 0-6 and for opening times that are
    upside down or overlap; the message says which day to correct.
    """

    zone: tzinfo
    weekly: OpeningTimes
    closures: frozenset[date] = field(default_factory=frozenset)

    def __post_init__(self) -> None:
        for weekday, spans in self.weekly.items():
            if weekday not in range(7):
                raise ValueError(f"weekday {weekday!r}: use 0 (Monday) to 6 (Sunday)")
            _refuse_bad_spans(weekday, spans)

    def is_open(self, at: datetime) -> bool:
        """Say whether the site is staffed at `at` (aware)."""
        day = at.astimezone(self.zone).date()
        return any(each.start <= at < each.end for each in self.openings_on(day))

    def next_opening(self, at: datetime) -> datetime | None:
        """Return the first opening after `at` in UTC; None if none is in sight."""
        return next((each.start for each in self.openings(at) if each.start > at), None)

    def openings_on(self, day: date) -> list[Opening]:
        """Return the open stretches that start on the local date `day`."""
        if day in self.closures:
            return []
        spans = sorted(self.weekly.get(day.weekday(), ()))
        return [Opening(self._utc(day, a), self._utc(day, b)) for a, b in spans]

    def openings(self, since: datetime) -> Iterator[Opening]:
        """Yield open stretches from the local day of `since` on, in order."""
        first = since.astimezone(self.zone).date()
        for offset in range(_LOOK_AHEAD_DAYS):
            yield from self.openings_on(first + timedelta(days=offset))

    def _utc(self, day: date, wall: time) -> datetime:
        local = datetime.combine(day, wall.replace(fold=0), tzinfo=self.zone)
        return local.astimezone(UTC)

    def whole_day(self, day: date) -> tuple[datetime, datetime]:
        """Return the local day as (start, end) in UTC; 23 to 25 hours long."""
        following = day + timedelta(days=1)
        return self._utc(day, time.min), self._utc(following, time.min)

    def noon(self, day: date) -> datetime:
        """Return local noon of `day` in UTC."""
        return self._utc(day, NOON)


def _refuse_bad_spans(weekday: int, spans: Sequence[tuple[time, time]]) -> None:
    ordered = sorted(spans)
    for start, end in ordered:
        if start >= end:
            raise ValueError(
                f"weekday {weekday}: opening {start} is not before closing {end};"
                " enter the earlier time first"
            )
    for (_, end), (start, _) in pairwise(ordered):
        if start < end:
            raise ValueError(f"weekday {weekday}: opening times overlap at {start}")


def act_by(urgency: str, opened_at: datetime, hours: SiteHours) -> datetime:
    """Return the moment (UTC) by which a person must have acted.

    Emergency: 15 minutes at any hour. Same day: two open hours. Next day: noon of
    the next working day. Review: the end of the next working day. A working day
    is next when its doors open after `opened_at`: a text of 2 in the morning
    waits for that morning, not for the day after. Raises ValueError for a naive
    `opened_at` or an unknown urgency.
    """
    if opened_at.tzinfo is None:
        raise ValueError("opened_at has no time zone: pass an aware datetime")
    rank(urgency)
    opened = opened_at.astimezone(UTC)
    if urgency == EMERGENCY:
        return opened + EMERGENCY_WITHIN
    if urgency == SAME_DAY:
        due = _after_open_time(opened, SAME_DAY_WITHIN, hours)
    else:
        due = _on_next_working_day(urgency, opened, hours)
    return due or opened + _ROUND_THE_CLOCK.get(urgency, _ROUND_THE_CLOCK_REVIEW)


def _after_open_time(
    since: datetime, allowance: timedelta, hours: SiteHours
) -> datetime | None:
    """The moment at which `allowance` of open hours has passed since `since`."""
    left = allowance
    for opening in hours.openings(since):
        start = max(opening.start, since)
        open_time = opening.end - start
        if open_time >= left:
            return start + left
        left -= max(open_time, timedelta(0))
    return None


def _on_next_working_day(
    urgency: str, opened: datetime, hours: SiteHours
) -> datetime | None:
    day = _next_working_day(opened, hours)
    if day is None:
        return None
    stretches = hours.openings_on(day)
    closes = stretches[-1].end
    if urgency != NEXT_DAY:
        return closes
    noon = hours.noon(day)
    if stretches[0].start < noon:
        return min(noon, closes)
    # An afternoon clinic has nobody in at noon: it gets its first two hours.
    return min(stretches[0].start + SAME_DAY_WITHIN, closes)


def _next_working_day(opened: datetime, hours: SiteHours) -> date | None:
    first = opened.astimezone(hours.zone).date()
    for offset in range(_LOOK_AHEAD_DAYS):
        day = first + timedelta(days=offset)
        stretches = hours.openings_on(day)
        if stretches and stretches[0].start > opened:
            return day
    return None
