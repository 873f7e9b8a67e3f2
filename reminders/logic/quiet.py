"""Quiet hours on the client's own clock: is it quiet now, and when is it not.

Texting people at home is held to their local daytime (47 CFR 64.1200(c)(1) draws
the line at 8 and 21 o'clock for sales calls; care texts keep to it by choice).
"""

from collections.abc import Sequence
from datetime import UTC, datetime, time, timedelta, tzinfo

QuietHours = Sequence[tuple[time, time]]
"""Local (from, to) pairs, `to` excluded; 21:00 to 08:00 runs over midnight."""


def is_quiet(wall: time, quiet: QuietHours) -> bool:
    """Whether no text may go out at this local time of day."""
    return any(_within(wall, start, stop) for start, stop in quiet)


def next_allowed(at: datetime, *, zone: tzinfo, quiet: QuietHours) -> datetime:
    """The first instant (UTC) from `at` on that lies outside quiet hours.

    `at` must be aware. Raises ValueError when the quiet hours cover the whole day.
    """
    if at.tzinfo is None:
        raise ValueError("next_allowed needs an aware time, such as one in UTC")
    moment = at.astimezone(UTC)
    for _ in range(2 * len(quiet) + 1):
        stop = _covering_end(moment.astimezone(zone), quiet)
        if stop is None:
            return moment
        moment = _later_end(moment, stop, zone=zone)
    raise ValueError("quiet hours cover the whole day; leave some time to text in")


def _within(wall: time, start: time, stop: time) -> bool:
    if start < stop:
        return start <= wall < stop
    return wall >= start or wall < stop


def _covering_end(local: datetime, quiet: QuietHours) -> datetime | None:
    """Local end, without zone, of the quiet hours this local time lies in."""
    wall = local.time()
    for start, stop in quiet:
        if _within(wall, start, stop):
            end = datetime.combine(local.date(), stop)
            return end if stop > wall else end + timedelta(days=1)
    return None


def _later_end(moment: datetime, stop: datetime, *, zone: tzinfo) -> datetime:
    first = stop.replace(tzinfo=zone).astimezone(UTC)
    if first > moment:
        return first
    # In the repeated hour of autumn the end may already have passed once.
    return stop.replace(tzinfo=zone, fold=1).astimezone(UTC)
