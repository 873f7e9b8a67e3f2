"""The client's local day of a moment, for many moments in a row.

Converting each report's time costs more than every rule that reads it; between two
midnights the answer is the same, so it is worked out once a day.
"""

from datetime import UTC, date, datetime, timedelta, tzinfo

_DAY = timedelta(days=1)
# Before 11 is morning: disc pain is a little worse on waking (common teaching).
MORNING_UNTIL = 11


class LocalDays:
    """Answers which local day a moment is on; remembers the day it met last."""

    __slots__ = ("_day", "_from", "_late", "_until", "_zone")

    def __init__(self, zone: tzinfo) -> None:
        self._zone = zone
        self._from = self._late = self._until = datetime(1, 1, 1, tzinfo=UTC)
        self._day = date(1, 1, 1)

    def of(self, moment: datetime) -> tuple[date, bool]:
        """Return the local day of an aware moment, and whether it is its morning."""
        if not self._from <= moment < self._until:
            self._meet(moment)
        return self._day, moment < self._late

    def _meet(self, moment: datetime) -> None:
        self._day = day = moment.astimezone(self._zone).date()
        self._from = moment
        # hours of a day may be repeated or skipped: what counts is when it is over
        self._late = self._at(day, MORNING_UNTIL)
        self._until = self._at(day + _DAY, 0)

    def _at(self, day: date, hour: int) -> datetime:
        wall = datetime(day.year, day.month, day.day, hour, tzinfo=self._zone)
        return wall.astimezone(UTC)
