"""How far from the spine symptoms reach, one ladder a side, in time order.

Sides are never averaged. A report that names no side belongs to the side named last
before it; a leg that was never mentioned counts as clear once the other one has a
history, so a second leg is far from its own ladder's usual at once.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo
from statistics import median

from programs.logic import body
from programs.logic.reports import SymptomReport

UNSIDED = "unsided"
SIDE_NUMBER = {body.LEFT: -1.0, body.RIGHT: 1.0, UNSIDED: 0.0}
# Usual reach is the median of 5 days: proposal, measured on synthetic clients.
USUAL_SPAN = timedelta(days=5)
# The starting point is what reports are compared with until they fill 5 days.
BASELINE_DAYS = 5


@dataclass(frozen=True, slots=True)
class Sighting:
    """One report on one side's ladder; `zone` is None where no level is known."""

    at: datetime
    zone: int | None
    report: SymptomReport


@dataclass(frozen=True, slots=True)
class SideReach:
    """One side's sightings in time order, and where it stood at the start.

    `located` are those with a known level, `times` theirs. The start counts until
    `start_until`; None while reports fill fewer than five days.
    """

    side: str
    sightings: tuple[Sighting, ...]
    located: tuple[Sighting, ...]
    times: tuple[datetime, ...]
    start_zone: int | None
    start_until: datetime | None

    def usual(self, before: datetime) -> float | None:
        """Return the usual zone just before a moment; None when nothing is known.

        The starting point while reports fill fewer than 5 days; then the median of
        the last 5 days; after a gap, the last known level.
        """
        early = self.start_until is None or before < self.start_until
        if self.start_zone is not None and early:
            return float(self.start_zone)
        end = bisect_left(self.times, before)
        begin = bisect_left(self.times, before - USUAL_SPAN)
        zones = self.zones(begin if begin < end else max(0, end - 1), end)
        return median(zones) if zones else None

    def zones(self, begin: int = 0, end: int | None = None) -> list[float]:
        """Return the located zones from one place in the series up to another."""
        return [float(s.zone) for s in self.located[begin:end] if s.zone is not None]


def zone_of(report: SymptomReport) -> int | None:
    """Return the coarse zone of a report's distal-most area.

    No pain at all counts as the back: nothing reaches out of it. None when no area
    is named, or only `leg`.
    """
    area = body.distal_most(report.areas)
    if area is not None:
        return body.zone(area)
    return body.BACK_ZONE if report.pain == 0 else None


def by_side(
    reports: Sequence[SymptomReport],
    zone: tzinfo,
    starts: Sequence[SymptomReport] = (),
) -> tuple[SideReach, ...]:
    """Return each side's reach, from reports already in time order.

    `starts` is the starting point: one for both legs, or one a side.
    """
    everyone = (*starts, *reports)
    ladders: dict[str, list[Sighting]] = {s: [] for s in _sides_named(everyone)}
    said = _first_side(everyone)
    for report in reports:
        said = body.sides(report.side) or said
        level = zone_of(report)
        # back-only pain says that both legs are clear, whichever was named last
        everywhere = level == body.BACK_ZONE and not report.side
        for side in ladders if everywhere else said:
            ladders[side].append(Sighting(report.at, level, report))
    zones = _start_zones(tuple(ladders), said=_first_side(everyone), starts=starts)
    return tuple(
        _side_reach(side, seen, start_zone=zones[side], zone=zone)
        for side, seen in ladders.items()
    )


def _side_reach(
    side: str, seen: Sequence[Sighting], *, start_zone: int | None, zone: tzinfo
) -> SideReach:
    located = tuple(s for s in seen if s.zone is not None)
    times = tuple(s.at for s in located)
    return SideReach(
        side, tuple(seen), located, times, start_zone, _start_until(times, zone)
    )


def _sides_named(reports: Sequence[SymptomReport]) -> tuple[str, ...]:
    named = {side for report in reports for side in body.sides(report.side)}
    return tuple(s for s in (body.LEFT, body.RIGHT) if s in named) or (UNSIDED,)


def _first_side(reports: Sequence[SymptomReport]) -> tuple[str, ...]:
    named = (body.sides(report.side) for report in reports)
    return next((sides for sides in named if sides), (UNSIDED,))


def _start_zones(
    sides: tuple[str, ...], *, said: tuple[str, ...], starts: Sequence[SymptomReport]
) -> dict[str, int | None]:
    """Return each side's zone at the start; a side that joins later started clear.

    A starting point without a side is that of the side named first.
    """
    known = [(body.sides(s.side) or said, zone_of(s)) for s in starts]
    levels = {
        side: [level for where, level in known if side in where and level is not None]
        for side in sides
    }
    given = any(levels.values())
    return {
        side: max(
            levels[side], default=None if side in said and not given else body.BACK_ZONE
        )
        for side in sides
    }


def _start_until(times: Sequence[datetime], zone: tzinfo) -> datetime | None:
    """Return the first located moment after five local days of them."""
    days = set()
    for at in times:
        days.add(at.astimezone(zone).date())
        if len(days) > BASELINE_DAYS:
            return at
    return None
