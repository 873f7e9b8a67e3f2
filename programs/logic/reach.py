"""How far from the spine symptoms reach, one ladder a side, in time order.

Sides are never averaged. A report that names no side belongs to the side named last
before it; a leg that was never mentioned counts as clear once the other one has a
history, so a second leg is far from its own ladder's usual at once.
"""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import NamedTuple

from programs.logic import body
from programs.logic.days import LocalDays
from programs.logic.reports import SymptomReport
from programs.logic.trend import middle

UNSIDED = "unsided"
SIDE_NUMBER = {body.LEFT: -1.0, body.RIGHT: 1.0, UNSIDED: 0.0}
# Usual reach is the median of 5 days: proposal, measured on synthetic clients.
USUAL_SPAN = timedelta(days=5)
# The starting point is what reports are compared with until they fill 5 days.
BASELINE_DAYS = 5
# A leg without a level is past the back, nobody knows how far.
LEG_AT_LEAST = 1
_THIGH = 2
_ZONE = {area: zone for zone, areas in enumerate(body.ZONES) for area in areas}
_SIDES = {side: body.sides(side) for side in (None, *body.SIDES)}


class Sighting(NamedTuple):
    """One report read once: when, on which local day, how strong, how far.

    `morning` is before 11 by the client's clock. `zone` is the coarse zone of the
    distal-most area, None where no level is known; `least` is then the nearest it can
    be, if anything. `rating` is 0-10 or None.
    """

    at: datetime
    day: date
    morning: bool
    report: SymptomReport
    rating: float | None
    zone: int | None
    least: int | None


@dataclass(frozen=True, slots=True)
class SideReach:
    """One side's sightings in time order, and where it stood at the start.

    `located` are those with a known level, `times` theirs. The start counts until
    `start_until`; None while reports fill fewer than five days.
    """

    side: str
    sightings: Sequence[Sighting]
    located: Sequence[Sighting]
    times: Sequence[datetime]
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
        begin = bisect_left(self.times, before - USUAL_SPAN, 0, end)
        zones = self.zones(begin if begin < end else max(0, end - 1), end)
        return middle(zones) if zones else None

    def zones(self, begin: int = 0, end: int | None = None) -> list[float]:
        """Return the located zones from one place in the series up to another."""
        return [float(s.zone) for s in self.located[begin:end] if s.zone is not None]


def zone_of(report: SymptomReport) -> int | None:
    """Return the coarse zone of a report's distal-most area.

    No pain at all counts as the back: nothing reaches out of it. None when no area
    is named, or only `leg`.
    """
    return extent(report)[0]


def extent(report: SymptomReport) -> tuple[int | None, int | None]:
    """Return the coarse zone, and the nearest it can be where only `leg` is said.

    Agrees with `body.distal_most`, in one pass, because every report is read here.
    """
    farthest, leg = -1, False
    # one pass over a dict of one or two, in plain steps: it is what costs most
    for area, state in report.areas.items():
        if state != "gone":
            zone = _ZONE.get(area)
            if zone is None:
                leg = True
            elif zone > farthest:
                farthest = zone
    if farthest >= 0 and (not leg or farthest >= _THIGH):
        return farthest, None
    if leg:
        return None, max(LEG_AT_LEAST, farthest)
    return (body.BACK_ZONE if report.pain == 0 else None), None


def rating(report: SymptomReport) -> float | None:
    """Return a report's pain; the worst area's where only areas were rated."""
    if report.pain is not None:
        return float(report.pain)
    return max(map(float, report.pain_by_area.values()), default=None)


def sightings(reports: Iterable[SymptomReport], days: LocalDays) -> list[Sighting]:
    """Return reports read once each; `days` are the client's."""
    found: list[Sighting] = []
    put, read = found.append, tuple.__new__
    begin, noonish, end, day = days.begin, days.noonish, days.end, days.day
    for report in reports:
        at, pain = report.at, report.pain
        if not begin <= at < end:
            days.meet(at)
            begin, noonish, end, day = days.begin, days.noonish, days.end, days.day
        rated = rating(report) if pain is None else float(pain)
        zone, least = extent(report)
        put(read(Sighting, (at, day, at < noonish, report, rated, zone, least)))
    return found


def by_side(
    seen: Sequence[Sighting], starts: Sequence[SymptomReport] = ()
) -> tuple[SideReach, ...]:
    """Return each side's reach, from sightings already in time order.

    `starts` is the starting point: one for both legs, or one a side.
    """
    first, sides = _sides_named(starts, seen)
    ladders: dict[str, list[Sighting]] = {side: [] for side in sides}
    said = first
    for each in seen:
        side = each.report.side
        if side is not None:
            said = _SIDES[side]
        # back-only pain says that both legs are clear, whichever was named last
        for name in sides if each.zone == 0 and side is None else said:
            ladders[name].append(each)
    zones = _start_zones(sides, said=first, starts=starts)
    return tuple(_side_reach(s, ladders[s], start_zone=zones[s]) for s in sides)


def _side_reach(
    side: str, seen: Sequence[Sighting], *, start_zone: int | None
) -> SideReach:
    located = [s for s in seen if s.zone is not None]
    times = [s.at for s in located]
    return SideReach(side, seen, located, times, start_zone, _start_until(located))


def _sides_named(
    starts: Iterable[SymptomReport], seen: Iterable[Sighting]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the side or sides named first, and all that are named."""
    words = [side for s in starts if (side := s.side) is not None]
    words += [side for s in seen if (side := s.report.side) is not None]
    if not words:
        return (UNSIDED,), (UNSIDED,)
    if set(words) != {words[0]} or words[0] == body.BOTH:
        return _SIDES[words[0]], (body.LEFT, body.RIGHT)
    return _SIDES[words[0]], _SIDES[words[0]]


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


def _start_until(located: Sequence[Sighting]) -> datetime | None:
    """Return the first located moment after five local days of them."""
    days, last = 0, None
    for each in located:
        if each.day != last:
            days, last = days + 1, each.day
            if days > BASELINE_DAYS:
                return each.at
    return None
