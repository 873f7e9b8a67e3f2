"""Whether symptoms draw in, stay or wander, by coarse zone and side.

Centralizing is a lasting move of the distal-most symptom toward the spine (Aina
2004; May & Aina 2012), so it is read from two reports in a row, not from one.
"""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from programs.logic.assessment import Finding, Numbers
from programs.logic.history import History
from programs.logic.reach import SIDE_NUMBER, SideReach
from programs.logic.spreading import Run, SideRuns, Swing, recent_swings
from programs.logic.trend import middle

CENTRALIZING, PERIPHERALIZING = "centralizing", "peripheralizing"
UNCHANGED, UNCLEAR = "unchanged", "unclear"

# The level compared with is a week's, leaving out the last two days (proposal).
SPAN, LAG = timedelta(days=7), timedelta(days=2)
CURRENT = timedelta(days=7)
WANDER_SPAN = timedelta(days=5)
WANDER_DAYS = 3


@dataclass(frozen=True, slots=True)
class SideTrend:
    """One side's movement: zones nearer the spine than before, and its turns.

    `inward` is negative when it moved out; None when there is too little to compare.
    `turns` counts moves in and out again (or out and in) by a zone in 5 days.
    """

    side: str
    before: float | None
    after: float | None
    turns: int

    @property
    def inward(self) -> float | None:
        """Coarse zones drawn in."""
        if self.before is None or self.after is None:
            return None
        return self.before - self.after


def side_trend(side: SideReach, *, now: datetime) -> SideTrend:
    """Return one side's movement as of `now`, from reports of the last week."""
    if not side.located or now - side.located[-1].at > CURRENT:
        return SideTrend(side.side, None, None, 0)
    before, compared = _before(side)
    after = _after(side.zones(-2), before, compared=compared)
    return SideTrend(side.side, before, after, turns(_levels(side)))


def _before(side: SideReach) -> tuple[float | None, int]:
    """Return the level to compare with and how many reports remain to compare."""
    latest = side.located[-1].at
    early = side.start_until is None
    if side.start_zone is not None and early:
        return float(side.start_zone), len(side.located)
    begin = bisect_left(side.times, latest - SPAN)
    end = bisect_left(side.times, latest - LAG)
    zones = side.zones(begin, end) or side.zones(0, 1)
    return middle(zones), len(side.located) - 1


def _after(
    zones: Sequence[float], before: float | None, *, compared: int
) -> float | None:
    """Return the level both of the last two reports reach at least.

    Of two that disagree, the one nearer to the level before: a change is claimed
    only as far as both show it. With a single report to compare, that one.
    """
    if compared < 1 or before is None:
        return None
    last = zones[-1:] if compared == 1 else zones[-2:]
    if min(last) <= before <= max(last):
        return before
    return min(last, key=lambda level: abs(level - before))


def _levels(side: SideReach) -> list[float]:
    """Return the last days' levels: daily medians, or each report when days are few."""
    begin = bisect_left(side.times, side.times[-1] - WANDER_SPAN)
    days: dict[date, list[float]] = {}
    for sighting in side.located[begin:]:
        days.setdefault(sighting.day, []).append(float(sighting.zone or 0))
    if len(days) < WANDER_DAYS:
        return side.zones(begin)
    return [middle(levels) for levels in days.values()]


def turns(levels: Sequence[float]) -> int:
    """Return how often the level turns round after moving by at least one zone."""
    count, direction = 0, 0
    low = high = levels[0] if levels else 0.0
    for level in levels:
        if direction >= 0 and level <= high - 1:
            count, direction, low = count + direction, -1, level
        elif direction <= 0 and level >= low + 1:
            count, direction, high = count - direction, 1, level
        low = min(low, level) if direction <= 0 else low
        high = max(high, level) if direction >= 0 else high
    return count


def trends(history: History) -> tuple[SideTrend, ...]:
    """Return every side's movement."""
    return tuple(side_trend(side, now=history.now) for side in history.sides)


def drawn_in(history: History, sides: Iterable[SideTrend]) -> Numbers:
    """Return how far the side that drew in most did, and for how long it holds.

    `partial` is a move that stops short of the back: the same end result as a full
    one, by more visits (Werneke 1999). Nothing where no side drew in by a zone.
    """
    moved = [s for s in sides if s.inward is not None and s.inward >= 1]
    best = max(moved, key=lambda side: side.inward or 0.0, default=None)
    if best is None or best.before is None or best.after is None:
        return {}
    side = next(s for s in history.sides if s.side == best.side)
    return {
        "side": SIDE_NUMBER[best.side],
        "from_zone": best.before,
        "to_zone": best.after,
        "partial": float(best.after > 0),
        "held_hours": history.hours_since(_held_since(side, best.after)),
    }


def _held_since(side: SideReach, level: float) -> datetime:
    since = side.times[-1]
    for each in reversed(side.located):
        if (each.zone or 0) > level:
            break
        since = each.at
    return since


def drew_in(history: History) -> float:
    """Return how many zones a side drew in within two weeks, 0 without any.

    Both of the last two reports beside the level of 7 to 14 days ago, or of the
    start. While it drew in, a higher rating alone is no worsening: a back that hurts
    more as the leg clears is the wanted course (textbook summaries).
    """
    return max((_drawn(side, history.now) for side in history.sides), default=0.0)


def _drawn(side: SideReach, now: datetime) -> float:
    if len(side.located) < 2 or now - side.times[-1] > CURRENT:
        return 0.0
    begin = bisect_left(side.times, now - 2 * SPAN)
    end = bisect_left(side.times, now - SPAN)
    zones = side.zones(begin, end)
    if not zones and side.start_zone is not None:
        zones = [float(side.start_zone)]
    return max(0.0, middle(zones) - max(side.zones(-2))) if zones else 0.0


def location_trend(
    history: History, sides: Iterable[SideTrend], standing: Iterable[Run]
) -> str:
    """Return the word for all sides together; a side moving out decides.

    Needs two located reports; one is enough to see spreading from a known start.
    """
    sides, standing = tuple(sides), tuple(standing)
    located = {at for s in history.sides for at in (*s.times[:1], *s.times[-1:])}
    confirmed = [run for run in standing if run.confirmed_at is not None]
    if any(len(located) > 1 or run.usual is not None for run in confirmed):
        return PERIPHERALIZING
    if len(located) < 2 or standing:
        return UNCLEAR
    return _calm_word(sides)


def _calm_word(sides: Sequence[SideTrend]) -> str:
    moved = [side.inward for side in sides if side.inward is not None]
    if not moved or any(inward <= -1 for inward in moved):
        return UNCLEAR
    if any(inward >= 1 for inward in moved):
        return CENTRALIZING
    return UNCLEAR if any(side.turns for side in sides) else UNCHANGED


def unstable(
    history: History, sides: Iterable[SideTrend], runs: Iterable[SideRuns]
) -> Finding | None:
    """Return the finding that a side moves in and out again; no alert by itself.

    Turns of the last five days, or a second swing out and back that is remembered. It
    stays while the swings last: one finding instead of one alert a swing.
    """
    swinging = {each.side: _rhythm(history, each) for each in runs}
    worst = max(sides, key=lambda s: (len(swinging[s.side]), s.turns), default=None)
    if worst is None or not (worst.turns or swinging[worst.side]):
        return None
    numbers = {"turns": float(worst.turns), "side": SIDE_NUMBER[worst.side]}
    swings = swinging[worst.side]
    if swings:
        numbers["swings"] = float(len(swings))
        numbers["from_zone"] = min(swing.usual for swing in swings)
        numbers["to_zone"] = float(max(swing.farthest for swing in swings))
    return Finding("unstable", None, numbers)


def _rhythm(history: History, side: SideRuns) -> list[Swing]:
    """Return the swings remembered, if there are two, the one going on included."""
    swings, run = recent_swings(history, side), side.run
    going = run is not None and run.stood and run.confirmed_at is None
    return swings if len(swings) + going > 1 else []
