"""A client's course, kept up as reports come in: the same answer, for less.

What costs most is reading every report again, so each is read once, when it comes.
A report taken in late, twice or in any order leaves the same course; one that was
wrong is taken out again. An assessment then costs what four weeks hold, however
long the course is.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from datetime import datetime, tzinfo

from programs.logic import reach
from programs.logic.assessment import Assessment
from programs.logic.days import LocalDays
from programs.logic.history import (
    CLOCK_AHEAD,
    WINDOW,
    History,
    Start,
    from_seen,
    starts_of,
)
from programs.logic.reports import SymptomReport, in_order
from programs.logic.response import assessed


class Course:
    """Reports taken in so far, by time, each once, and what they come to.

    `zone`, `since` and `baseline` are those of `response.assess`, and so are `now`
    and `due`: `Course(...).assess(...)` is `assess(reports, ...)` at any time.
    """

    __slots__ = ("_days", "_seen", "_since", "_starts", "_times", "_zone")

    def __init__(
        self,
        reports: Iterable[SymptomReport] = (),
        *,
        zone: tzinfo,
        since: datetime | None = None,
        baseline: Start = None,
    ) -> None:
        self._zone, self._since = zone, since
        self._starts = starts_of(baseline)
        self._days = LocalDays(zone)
        self._seen = reach.sightings(in_order(reports), self._days)
        self._times = [each.at for each in self._seen]

    def __len__(self) -> int:
        return len(self._seen)

    def take(self, report: SymptomReport) -> None:
        """Take a report in; one that is known already changes nothing."""
        begin, end = self._at(report.at)
        if begin == end:
            self._put(begin, end, [report])
            return
        known = [each.report for each in self._seen[begin:end]]
        self._put(begin, end, in_order([*known, report]))

    def take_out(self, report: SymptomReport) -> None:
        """Leave a report out that was voided or is about to be corrected.

        One that is not known changes nothing.
        """
        begin, end = self._at(report.at)
        known = [each.report for each in self._seen[begin:end]]
        kept = [each for each in known if each != report]
        self._put(begin, end, kept)

    def correct(self, wrong: SymptomReport, right: SymptomReport) -> None:
        """Put one report in the place of another."""
        self.take_out(wrong)
        self.take(right)

    def history(self, *, now: datetime, due: Sequence[datetime] = ()) -> History:
        """Return the history as of `now`, as `history.prepare` would."""
        begin = bisect_right(self._times, now - WINDOW)
        end = bisect_right(self._times, now + CLOCK_AHEAD)
        return from_seen(
            self._seen[begin:end],
            last=self._seen[end - 1].report if end else None,
            now=now,
            zone=self._zone,
            since=self._since,
            due=due,
            starts=self._starts,
        )

    def assess(self, *, now: datetime, due: Sequence[datetime] = ()) -> Assessment:
        """Return what the reports say as of `now`; see `response.assess`."""
        return assessed(self.history(now=now, due=due))

    def _at(self, moment: datetime) -> tuple[int, int]:
        times = self._times
        if not times or moment > times[-1]:
            return len(times), len(times)
        return bisect_left(times, moment), bisect_right(times, moment)

    def _put(self, begin: int, end: int, reports: Sequence[SymptomReport]) -> None:
        self._seen[begin:end] = reach.sightings(reports, self._days)
        self._times[begin:end] = [report.at for report in reports]
