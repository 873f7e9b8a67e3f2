"""Symptoms reaching farther from the spine than usual, and staying there.

A passing rise that settles is not counted, so one bare report one zone farther asks
back and alarms nobody. Two in a row at least 6 h apart count, or one that says it
itself or is two zones farther (common practice; one coarse zone in two reports in a
row was right for nearly all of a synthetic cohort and rarely by chance).
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from programs.logic.assessment import NEXT_DAY, SAME_DAY, Finding, Numbers
from programs.logic.body import present
from programs.logic.history import History
from programs.logic.reach import SIDE_NUMBER, SideReach, Sighting

APART = timedelta(hours=6)
# After 5 days farther out, that is the usual reach and a new step counts from there.
LASTS = timedelta(days=5)
ASK_BACK_WITHIN = timedelta(hours=24)
AT_ONCE_ZONES = 2


@dataclass(frozen=True, slots=True)
class Run:
    """Sightings in a row farther than usual on one side.

    `confirmed_at` is None while it is one bare report. `declared_worse` is a report
    that says itself that it spreads or worsens. `back_since` is the first sighting
    back at the usual reach after the run was confirmed.
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

    @property
    def zones(self) -> float:
        """Coarse zones farther than usual; 0 where no level was named."""
        if self.usual is None or self.farthest is None:
            return 0.0
        return max(0.0, self.farthest - self.usual)


def excess(sighting: Sighting, usual: float | None) -> float | None:
    """Return zones beyond the usual one (negative is nearer); None when unknown."""
    if sighting.zone is None or usual is None:
        return None
    return sighting.zone - usual


def declares_spreading(sighting: Sighting, usual: float | None) -> bool:
    """Return whether one report says by itself that symptoms spread.

    Moving down the leg, unless the level it names is nearer than usual; or worse
    overall with a level farther than usual, or with a new place beyond the back where
    no level rules spreading out.
    """
    report, beyond = sighting.report, excess(sighting, usual)
    if report.shift == "down_leg":
        return beyond is None or beyond > -1
    if report.overall != "worse":
        return False
    if beyond is not None:
        return beyond >= 1
    return _new_beyond_back(sighting) and (usual or 0) < 1


def _new_beyond_back(sighting: Sighting) -> bool:
    areas = sighting.report.areas
    return any(areas[name] == "new" and name != "back" for name in present(areas))


def current_run(side: SideReach) -> Run | None:
    """Return the run a side's sightings end in, confirmed or not."""
    run: Run | None = None
    for sighting in side.sightings:
        if run and run.confirmed_at and sighting.at - run.confirmed_at > LASTS:
            run = None
        run = _step(side, run, sighting)
    return run


def _step(side: SideReach, run: Run | None, sighting: Sighting) -> Run | None:
    usual = run.usual if run else side.usual(sighting.at)
    beyond = excess(sighting, usual)
    declared = declares_spreading(sighting, usual)
    if declared or (beyond is not None and beyond >= 1):
        run = run or Run(side.side, usual, sighting.at, sighting.at)
        return _extended(run, sighting, declared=declared)
    if run is None or beyond is None:
        return run
    return _after_nearer(run, sighting)


def _extended(run: Run, sighting: Sighting, *, declared: bool) -> Run:
    beyond = excess(sighting, run.usual) or 0
    sure = declared or beyond >= AT_ONCE_ZONES or sighting.at - run.first_at >= APART
    known = [z for z in (run.farthest, sighting.zone) if z is not None]
    worse = declared and sighting.report.overall not in ("better", "same")
    return replace(
        run,
        last_at=sighting.at,
        farthest=max(known, default=None),
        reports=run.reports + 1,
        confirmed_at=run.confirmed_at or (sighting.at if sure else None),
        declared_worse=run.declared_worse or worse,
        back_since=None,
    )


def _after_nearer(run: Run, sighting: Sighting) -> Run | None:
    """Return the run after a report at the usual reach or nearer.

    It ends a run that was never confirmed. A confirmed one ends as it began, by two
    reports at least 6 h apart: one wrong place must not switch an alert off.
    """
    if run.confirmed_at is None:
        return None
    since = run.back_since or sighting.at
    return None if sighting.at - since >= APART else replace(run, back_since=since)


def runs(history: History) -> tuple[Run, ...]:
    """Return the runs that still stand at `now`, the worst first."""
    found = (current_run(side) for side in history.sides)
    standing = [r for r in found if r is not None and _stands(r, history.now)]
    return tuple(sorted(standing, key=_severity, reverse=True))


def _stands(run: Run, now: datetime) -> bool:
    if run.confirmed_at is None:
        return now - run.last_at <= ASK_BACK_WITHIN
    return now - run.confirmed_at <= LASTS


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
    """Return the numbers of a single bare farther report of the last 24 h."""
    run = next((r for r in standing if r.confirmed_at is None), None)
    return _numbers(history, run) if run else None


def _numbers(history: History, run: Run) -> Numbers:
    numbers = {
        "side": SIDE_NUMBER[run.side],
        "zones": run.zones,
        "reports": float(run.reports),
        "declared_worse": float(run.declared_worse),
        "hours_ago": history.hours_since(run.last_at),
        "first_hours_ago": history.hours_since(run.first_at),
    }
    if run.usual is not None:
        numbers["from_zone"] = run.usual
    if run.farthest is not None:
        numbers["to_zone"] = float(run.farthest)
    return numbers
