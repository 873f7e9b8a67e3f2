"""The client's local day of a moment, for many moments in a row.

Converting each report's time costs more than every rule that reads it; between two
midnights the answer is the same, so it is worked out once a day.
"""

from datetime import UTC, date, datetime, timedelta, tzinfo
from functools import lru_cache

_NEVER = datetime(1, 1, 1, tzinfo=UTC)
_DAY = timedelta(days=1)
# Before 11 is morning: disc pain is a little worse on waking (common teaching).
_REST_OF_DAY = timedelta(hours=13)


class LocalDays:
    """Answers which local day a moment is on; remembers the day it met last.

    `day` holds from `begin` until `end`; its morning ends 13 hours before.
    """

    __slots__ = ("begin", "day", "end", "noonish", "zone")

    def __init__(self, zone: tzinfo) -> None:
        self.zone = zone
        self.begin = self.noonish = self.end = _NEVER
        self.day = date(1, 1, 1)

    def of(self, moment: datetime) -> tuple[date, bool]:
        """Return the local day of an aware moment, and whether it is its morning."""
        if not self.begin <= moment < self.end:
            self.meet(moment)
        return self.day, moment < self.noonish

    def meet(self, moment: datetime) -> None:
        """Turn to the day of a moment; the next one is found without converting."""
        if moment >= self.end > _NEVER:
            following = self.day + _DAY
            over = _over(self.zone, following)
            if moment < over:
                self._turn(following, self.end, over)
                return
        day = moment.astimezone(self.zone).date()
        self._turn(day, moment, _over(self.zone, day))

    def _turn(self, day: date, begin: datetime, end: datetime) -> None:
        self.day, self.begin, self.end = day, begin, end
        self.noonish = end - _REST_OF_DAY


@lru_cache(maxsize=4096)
def _over(zone: tzinfo, day: date) -> datetime:
    """Return when a local day is over.

    Its hours may be repeated or skipped: what counts is when the next one begins.
    """
    after = day + _DAY
    begins = datetime(after.year, after.month, after.day, tzinfo=zone)
    return begins.astimezone(UTC)
