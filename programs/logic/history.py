"""A client's reports prepared once for every rule that reads them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from operator import attrgetter, lt

from programs.logic import reach, trend
from programs.logic.days import LocalDays
from programs.logic.reach import Sighting
from programs.logic.reports import SymptomReport, in_order

# Four weeks hold every window of the rules; older reports cost time, not insight.
WINDOW = timedelta(days=28)
# A device clock that runs ahead must not hide a report that should alarm.
CLOCK_AHEAD = timedelta(hours=2)
# No trend statement under 5 days or 8 reports (common practice).
TREND_DAYS, TREND_REPORTS = 5, 8

_AT = attrgetter("at")
rating = reach.rating

# The starting point: none, one for both legs, or one a side.
Start = SymptomReport | Sequence[SymptomReport] | None


@dataclass(frozen=True, slots=True)
class History:
    """Reports of the last four weeks, each once, seen from `now`.

    `seen` are the reports read once, in time order. `starts` is the starting point,
    one or one a side. `last` is the latest report of all, however old. `pain_days`
    are daily medians by the client's local day. `due` are reminders sent up to now.
    """

    now: datetime
    zone: tzinfo
    seen: tuple[Sighting, ...]
    last: SymptomReport | None
    since: datetime | None
    due: tuple[datetime, ...]
    starts: tuple[SymptomReport, ...]
    sides: tuple[reach.SideReach, ...]
    ratings: tuple[tuple[datetime, float], ...]
    pain_days: trend.DailyMedians
    today: date

    @property
    def reports(self) -> tuple[SymptomReport, ...]:
        """The reports themselves, in time order."""
        return tuple([each.report for each in self.seen])

    @property
    def started(self) -> datetime | None:
        """When the program began; the first report where nobody said."""
        if self.since is not None or not self.seen:
            return self.since
        return self.seen[0].at

    @property
    def start_pain(self) -> float | None:
        """Pain at the starting point."""
        rated = (rating(start) for start in self.starts)
        return max((pain for pain in rated if pain is not None), default=None)

    def within(self, span: timedelta) -> tuple[SymptomReport, ...]:
        """Return the reports of the last `span`."""
        return tuple(each.report for each in self.seen_within(span))

    def seen_within(self, span: timedelta) -> tuple[Sighting, ...]:
        """Return the sightings of the last `span`."""
        first, place = self.now - span, len(self.seen)
        while place and self.seen[place - 1].at > first:
            place -= 1
        return self.seen[place:]

    def hours_since(self, moment: datetime) -> float:
        """Return hours from a moment to now, never negative."""
        return max(0.0, (self.now - moment) / timedelta(hours=1))

    def local_day(self, moment: datetime) -> date:
        """Return the client's local day of a moment."""
        return moment.astimezone(self.zone).date()

    def enough_for_pain_trend(self) -> bool:
        """Return whether there are 5 rated days or 8 ratings."""
        return len(self.pain_days) >= TREND_DAYS or len(self.ratings) >= TREND_REPORTS


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
    ahead, first = now + CLOCK_AHEAD, now - WINDOW
    recent = ordered([r for r in reports if r.at > first and r.at <= ahead])
    last = recent[-1] if recent else latest(r for r in reports if r.at <= ahead)
    local = LocalDays(zone)
    return from_seen(
        reach.sightings(recent, local),
        last=last,
        now=now,
        zone=zone,
        since=since,
        due=due,
        starts=starts_of(baseline),
    )


def from_seen(
    seen: Sequence[Sighting],
    *,
    last: SymptomReport | None,
    now: datetime,
    zone: tzinfo,
    since: datetime | None,
    due: Sequence[datetime],
    starts: tuple[SymptomReport, ...],
) -> History:
    """Return the history of reports that are read, in order and within the window."""
    days: dict[date, list[float]] = {}
    ratings = []
    for each in seen:
        if each.rating is not None:
            ratings.append((each.at, each.rating))
            days.setdefault(each.day, []).append(each.rating)
    return History(
        now=now,
        zone=zone,
        seen=tuple(seen),
        last=last,
        since=since,
        due=tuple(dict.fromkeys(sorted([moment for moment in due if moment <= now]))),
        starts=starts,
        sides=reach.by_side(seen, starts),
        ratings=tuple(ratings),
        pain_days={day: trend.middle(values) for day, values in days.items()},
        today=now.astimezone(zone).date(),
    )


def ordered(reports: list[SymptomReport]) -> list[SymptomReport]:
    """Return reports by time, each once, as `in_order`; fast where times differ."""
    found = sorted(reports, key=_AT)
    times = [report.at for report in found]
    if all(map(lt, times, times[1:])):
        return found
    return in_order(found)


def starts_of(baseline: Start) -> tuple[SymptomReport, ...]:
    """Return the starting point as a tuple: none, one, or one a side."""
    if baseline is None:
        return ()
    return tuple(baseline) if isinstance(baseline, Sequence) else (baseline,)


def latest(known: Iterable[SymptomReport]) -> SymptomReport | None:
    """Return the latest of any reports, the last in order among equal times."""
    everyone = list(known)
    at = max((report.at for report in everyone), default=None)
    same_time = in_order(report for report in everyone if report.at == at)
    return same_time[-1] if same_time else None
