"""A client's reports prepared once for every rule that reads them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo

from programs.logic import reach, trend
from programs.logic.reports import SymptomReport, in_order

# Four weeks hold every window of the rules; older reports cost time, not insight.
WINDOW = timedelta(days=28)
# A device clock that runs ahead must not hide a report that should alarm.
CLOCK_AHEAD = timedelta(hours=2)
# No trend statement under 5 days or 8 reports (common practice).
TREND_DAYS, TREND_REPORTS = 5, 8

# The starting point: none, one for both legs, or one a side.
Start = SymptomReport | Sequence[SymptomReport] | None


@dataclass(frozen=True, slots=True)
class History:
    """Reports of the last four weeks in time order, each once, seen from `now`.

    `starts` is the starting point, one or one a side.
    `last` is the latest report of all, however old. `pain_days` are daily medians
    by the client's local day. `due` are reminders sent up to now.
    """

    now: datetime
    zone: tzinfo
    reports: tuple[SymptomReport, ...]
    last: SymptomReport | None
    since: datetime | None
    due: tuple[datetime, ...]
    starts: tuple[SymptomReport, ...]
    sides: tuple[reach.SideReach, ...]
    ratings: tuple[tuple[datetime, float], ...]
    pain_days: trend.DailyMedians

    @property
    def today(self) -> date:
        """The client's local day."""
        return self.now.astimezone(self.zone).date()

    @property
    def started(self) -> datetime | None:
        """When the program began; the first report where nobody said."""
        if self.since is not None or not self.reports:
            return self.since
        return self.reports[0].at

    @property
    def start_pain(self) -> float | None:
        """Pain at the starting point."""
        rated = (rating(start) for start in self.starts)
        return max((pain for pain in rated if pain is not None), default=None)

    def within(self, span: timedelta) -> tuple[SymptomReport, ...]:
        """Return the reports of the last `span`."""
        return tuple(r for r in self.reports if r.at > self.now - span)

    def hours_since(self, moment: datetime) -> float:
        """Return hours from a moment to now, never negative."""
        return max(0.0, (self.now - moment) / timedelta(hours=1))

    def local_day(self, moment: datetime) -> date:
        """Return the client's local day of a moment."""
        return moment.astimezone(self.zone).date()

    def enough_for_pain_trend(self) -> bool:
        """Return whether there are 5 rated days or 8 ratings."""
        return len(self.pain_days) >= TREND_DAYS or len(self.ratings) >= TREND_REPORTS


def rating(report: SymptomReport) -> float | None:
    """Return a report's pain; the worst area's where only areas were rated."""
    if report.pain is not None:
        return float(report.pain)
    return max(map(float, report.pain_by_area.values()), default=None)


def prepare(
    reports: Sequence[SymptomReport],
    *,
    now: datetime,
    zone: tzinfo,
    since: datetime | None = None,
    due: Sequence[datetime] = (),
    baseline: Start = None,
) -> History:
    """Return the history as of `now`; reports dated later are not known yet."""
    known = [r for r in reports if r.at <= now + CLOCK_AHEAD]
    recent = tuple(in_order(r for r in known if r.at > now - WINDOW))
    starts = _starts(baseline)
    ratings = tuple((r.at, p) for r in recent if (p := rating(r)) is not None)
    return History(
        now=now,
        zone=zone,
        reports=recent,
        last=recent[-1] if recent else _latest(known),
        since=since,
        due=tuple(sorted({moment for moment in due if moment <= now})),
        starts=starts,
        sides=reach.by_side(recent, zone, starts),
        ratings=ratings,
        pain_days=trend.daily_medians(ratings, zone),
    )


def _starts(baseline: Start) -> tuple[SymptomReport, ...]:
    if baseline is None:
        return ()
    return tuple(baseline) if isinstance(baseline, Sequence) else (baseline,)


def _latest(known: Sequence[SymptomReport]) -> SymptomReport | None:
    at = max((report.at for report in known), default=None)
    same_time = in_order(report for report in known if report.at == at)
    return same_time[-1] if same_time else None
