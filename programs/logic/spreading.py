"""Symptoms reaching farther from the spine than usual, and staying there.

A passing rise that settles is not counted, so one bare report one zone farther asks
back and alarms nobody. Two in a row at least 6 h apart count, or one that says it
itself or is two zones farther (common practice; one coarse zone in two reports in a
row was right for nearly all of a synthetic cohort and rarely by chance).

A client whose reach goes out and comes back has a usual range, not a usual level.
Going out again as far as within the last three weeks is no news: it becomes spreading
when it goes farther than it did, stays a day longer than it did, or the client says
that it is worse. Until then it is one finding, `unstable`, that persists.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from programs.logic.assessment import NEXT_DAY, SAME_DAY, Finding, Numbers
from programs.logic.body import present
from programs.logic.history import History
from programs.logic.reach import SIDE_NUMBER, USUAL_SPAN, SideReach, Sighting

APART = timedelta(hours=6)
# After 5 days farther out, that is the usual reach and a new step counts from there.
LASTS = timedelta(days=5)
ASK_BACK_WITHIN = timedelta(hours=24)
AT_ONCE_ZONES = 2
# How long a swing out and back is remembered (three turns of a weekly rhythm), and how
# much longer than the last one, or than a day, a new one may last (proposal, measured
# on synthetic clients).
SWING_REMEMBERED = timedelta(days=21)
LONGER = A_DAY = timedelta(hours=24)


@dataclass(frozen=True, slots=True)
class Swing:
    """A stay farther out that came back: how far, how long, and when it was over."""

    usual: float
    farthest: int
    lasted: timedelta
    over_at: datetime


@dataclass(slots=True)
class Run:
    """Sightings in a row farther than usual on one side.

    `confirmed_at` is None while it is one bare report, or no farther than swings
    before. `declared_worse` is a report that says itself that it spreads or worsens.
    `back_since` is the first sighting back at the usual reach after the run stood.
    `known` is how far remembered swings went, `known_for` how long they
    stayed; `beyond_at` is the first sighting beyond that.
    """

    side: str
    usual: float | None
    first_at: datetime
    last_at: datetime
    farthest: int | None = None
    reports: int = 0
    confirmed_at: datetime | None = None
    declared_worse: bool = False
    back_since: datetime | None = None
    known: int | None = None
    known_for: timedelta = timedelta(0)
    beyond_at: datetime | None = None

    @property
    def zones(self) -> float:
        """Coarse zones farther than usual; 0 where no level was named."""
        if self.usual is None or self.farthest is None:
            return 0.0
        return max(0.0, self.farthest - self.usual)

    @property
    def stood(self) -> bool:
        """Whether reports at least 6 h apart agree, news or not."""
        return self.confirmed_at is not None or self.last_at - self.first_at >= APART


@dataclass(frozen=True, slots=True)
class SideRuns:
    """One side's run at the end of its sightings, and the swings before it."""

    side: str
    run: Run | None
    swings: Sequence[Swing]


def excess(sighting: Sighting, usual: float | None) -> float | None:
    """Return zones beyond the usual one (negative is nearer); None when unknown.

    A leg without a level is farther than the back by at least a zone; against any
    other usual reach it is unknown.
    """
    if usual is None:
        return None
    if sighting.zone is not None:
        return sighting.zone - usual
    if sighting.least is not None and sighting.least - usual >= 1:
        return 1.0
    return None


def declares_spreading(sighting: Sighting, usual: float | None) -> bool:
    """Return whether one report says by itself that symptoms spread.

    Moving down the leg, unless the level it names is nearer than usual; or worse
    overall with a level farther than usual, or with a new place beyond the back where
    no level rules spreading out.
    """
    report = sighting.report
    if report.shift != "down_leg" and report.overall != "worse":
        return False
    beyond = excess(sighting, usual)
    if report.shift == "down_leg":
        return beyond is None or beyond > -1
    if beyond is not None:
        return beyond >= 1
    return _new_beyond_back(sighting) and (usual or 0) < 1


def _new_beyond_back(sighting: Sighting) -> bool:
    areas = sighting.report.areas
    return any(areas[name] == "new" and name != "back" for name in present(areas))


class SlidingUsual:
    """The usual zone just before a moment, for moments asked for in order.

    The same answer as `SideReach.usual`, with counts a zone that slide along.
    """

    __slots__ = ("_begin", "_counts", "_end", "_side")

    def __init__(self, side: SideReach) -> None:
        self._side, self._counts = side, [0] * 5
        self._begin = self._end = 0

    def before(self, moment: datetime) -> float | None:
        side = self._side
        if self._is_early(moment):
            return float(side.start_zone or 0)
        known = self._slide(moment)
        if known:
            return _middle(self._counts, known)
        return float(side.located[self._end - 1].zone or 0) if self._end else None

    def is_within(self, zone: int, moment: datetime) -> bool:
        """Return True where the usual zone is surely more than `zone` less one."""
        if self._is_early(moment):
            return zone <= (self._side.start_zone or 0)
        known = self._slide(moment)
        return 2 * sum(self._counts[:zone]) < known

    def _is_early(self, moment: datetime) -> bool:
        side = self._side
        if side.start_zone is None:
            return False
        return side.start_until is None or moment < side.start_until

    def _slide(self, moment: datetime) -> int:
        """Count up to a moment; return how many reports of five days there are."""
        times, counts = self._side.times, self._counts
        end, begin, most = self._end, self._begin, len(times)
        if end < most and times[end] < moment:
            located = self._side.located
            while end < most and times[end] < moment:
                counts[located[end].zone or 0] += 1
                end += 1
            self._end = end
        if begin < end:
            first = moment - USUAL_SPAN
            while begin < end and times[begin] < first:
                counts[self._side.located[begin].zone or 0] -= 1
                begin += 1
            self._begin = begin
        return end - begin


def _middle(counts: Sequence[int], total: int) -> float:
    """Return the median of zones given by their counts."""
    low, high = (total - 1) // 2, total // 2
    at_low, seen = -1, 0
    for zone, count in enumerate(counts):
        seen += count
        if at_low < 0 and seen > low:
            at_low = zone
        if seen > high:
            return (at_low + zone) / 2
    return float(at_low)


@dataclass(slots=True)
class _Walk:
    """Reads one side's sightings in order."""

    side: SideReach
    run: Run | None = None
    swings: list[Swing] = field(default_factory=list)

    def through(self) -> SideRuns:
        usual = SlidingUsual(self.side)
        within = usual.is_within
        for sighting in self.side.sightings:
            run, zone = self.run, sighting.zone
            if run is not None:
                since = run.confirmed_at
                if since is None or sighting.at - since <= LASTS:
                    self._within(run, sighting)
                    continue
                self.run = None
            # what surely opens no run is found out cheaply, being nearly everything
            if sighting.report.shift != "down_leg":
                if zone is not None:
                    if zone == 0 or within(zone, sighting.at):
                        continue
                elif sighting.least is None and sighting.report.overall != "worse":
                    continue
            self._without_run(sighting, usual.before(sighting.at))
        return SideRuns(self.side.side, self.run, self.swings)

    def _without_run(self, sighting: Sighting, usual: float | None) -> None:
        beyond = excess(sighting, usual)
        declared = declares_spreading(sighting, usual)
        if not declared and (beyond is None or beyond < 1):
            return
        self.run = run = Run(self.side.side, usual, sighting.at, sighting.at)
        if self.swings:
            known = [*_lately(self.swings, sighting.at)]
            run.known = max((swing.farthest for swing in known), default=None)
            run.known_for = max((A_DAY, *(s.lasted for s in known)))
        _extend(run, sighting, beyond, declared=declared)

    def _within(self, run: Run, sighting: Sighting) -> None:
        beyond = excess(sighting, run.usual)
        if beyond is not None and beyond >= 1:
            declared = declares_spreading(sighting, run.usual)
            _extend(run, sighting, beyond, declared=declared)
        elif declares_spreading(sighting, run.usual):
            _extend(run, sighting, beyond, declared=True)
        elif beyond is not None:
            self._nearer(run, sighting)

    def _nearer(self, run: Run, sighting: Sighting) -> None:
        """Take in a report at the usual reach or nearer.

        It ends a run of one report. One that stood ends as it began, by two reports
        at least 6 h apart: one wrong place must not switch an alert off.
        """
        if not run.stood:
            self.run = None
        elif run.back_since is None:
            run.back_since = sighting.at
        elif sighting.at - run.back_since >= APART:
            self._remember(run, sighting)
            self.run = None

    def _remember(self, run: Run, sighting: Sighting) -> None:
        if run.usual is not None and run.farthest is not None:
            lasted = run.last_at - run.first_at
            self.swings.append(Swing(run.usual, run.farthest, lasted, sighting.at))


def _lately(swings: Iterable[Swing], at: datetime) -> Iterator[Swing]:
    return (swing for swing in swings if at - swing.over_at <= SWING_REMEMBERED)


def _extend(
    run: Run, sighting: Sighting, beyond: float | None, *, declared: bool
) -> None:
    zone = sighting.zone
    if zone is not None and (run.farthest is None or zone > run.farthest):
        run.farthest = zone
    run.last_at, run.back_since = sighting.at, None
    run.reports += 1
    if declared and sighting.report.overall not in ("better", "same"):
        run.declared_worse = True
    if run.confirmed_at is None and (
        declared or (_is_news(run, sighting) if run.known else _is_sure(run, beyond))
    ):
        run.confirmed_at = sighting.at


def _is_sure(run: Run, beyond: float | None) -> bool:
    return (beyond or 0) >= AT_ONCE_ZONES or run.last_at - run.first_at >= APART


def _is_news(run: Run, sighting: Sighting) -> bool:
    """Return whether a run goes farther, or stays longer, than swings before it."""
    known, zone = run.known or 0, sighting.zone
    if run.last_at - run.first_at > run.known_for + LONGER:
        return True
    if zone is None or zone <= known:
        run.beyond_at = None
        return False
    run.beyond_at = run.beyond_at or sighting.at
    return zone - known >= AT_ONCE_ZONES or sighting.at - run.beyond_at >= APART


def side_runs(history: History) -> tuple[SideRuns, ...]:
    """Return what every side's sightings come to, runs that are over included."""
    return tuple(_Walk(side).through() for side in history.sides)


def runs(history: History, sides: Iterable[SideRuns]) -> tuple[Run, ...]:
    """Return the runs that still stand at `now`, the worst first."""
    standing = [s.run for s in sides if s.run is not None and _stands(s.run, history)]
    return tuple(sorted(standing, key=_severity, reverse=True))


def _stands(run: Run, history: History) -> bool:
    if run.confirmed_at is None:
        return history.now - run.last_at <= ASK_BACK_WITHIN
    return history.now - run.confirmed_at <= LASTS


def _severity(run: Run) -> tuple[bool, bool, float, datetime]:
    return run.confirmed_at is not None, is_same_day(run), run.zones, run.last_at


def is_same_day(run: Run) -> bool:
    """Return whether a run is by two zones or declared worse by the client."""
    return run.zones >= AT_ONCE_ZONES or run.declared_worse


def spreading(history: History, standing: Iterable[Run]) -> Finding | None:
    """Return the finding for the worst confirmed run: next_day, or same_day."""
    run = next((r for r in standing if r.confirmed_at is not None), None)
    if run is None:
        return None
    urgency = SAME_DAY if is_same_day(run) else NEXT_DAY
    return Finding("spreading", urgency, _numbers(history, run))


def farther_once(history: History, standing: Iterable[Run]) -> Numbers | None:
    """Return the numbers of a single bare farther report of the last 24 h.

    A run that stood and is no news is not asked about again.
    """
    run = next((r for r in standing if not r.stood), None)
    return _numbers(history, run) if run else None


def recent_swings(history: History, side: SideRuns) -> list[Swing]:
    """Return one side's swings out and back that are remembered."""
    return list(_lately(side.swings, history.now))


def _numbers(history: History, run: Run) -> Numbers:
    numbers = {
        "side": SIDE_NUMBER[run.side],
        "zones": run.zones,
        "reports": float(run.reports),
        "declared_worse": float(run.declared_worse),
        "hours_ago": history.hours_since(run.last_at),
        "first_hours_ago": history.hours_since(run.first_at),
        "lasted_hours": (run.last_at - run.first_at) / timedelta(hours=1),
    }
    if run.usual is not None:
        numbers["from_zone"] = run.usual
    if run.farthest is not None:
        numbers["to_zone"] = float(run.farthest)
    return numbers
