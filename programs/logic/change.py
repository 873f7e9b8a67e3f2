"""Whether a series of ratings has taken a turn upward: a change model.

For each day of the last week the ratings are fitted with a level before that day and
a climb over four days from it; the best fit's climb over its error is the score
(likelihood ratio over an unknown moment of change, as in Page 1954 and Siegmund &
Venkatraman 1995). Four things make it hold still where a rule on two daily medians
does not: a day of one reply weighs less than one of three; what the client rates
higher in the morning is taken off; the error is the client's own spread, drawn to
the published 1.2 (Pagé 2022) while few days are known; and a 10 stands for "10 or
more", so that somebody who starts at 8 can be seen to worsen. Against that rule on
half of the bench's seeds it finds more and alarms a third as often.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from programs.logic.reach import Sighting
from programs.logic.trend import WITHIN_PERSON_SD

# Days back at which a change may have begun, and days before it that are compared.
LATEST, BEFORE, CLIMB_DAYS = 7, 14, 4
FEWEST_BEFORE, FEWEST_SINCE = 3, 2
# Share of the spread that is the day's own, common to its replies; the published
# spread counts as much as so many of the client's days.
DAY_SHARE = 0.53
PRIOR_DAYS = 20
# Mornings are rated higher by so much (common teaching); it counts as so many days.
MORNING, MORNING_DAYS = 0.3, 10
# The scale ends at 10: above 8 a rating stands for more than it says.
_OPEN_FROM, _OPEN_STEP, _OPEN_END = 8.0, 0.3, 1.9


@dataclass(frozen=True, slots=True)
class Change:
    """A turn upward: on which day it began, the rise by now, its score, the error.

    `rise` is in points on the opened scale, `score` in errors, `spread` the standard
    deviation of one reply within the client.
    """

    since: date
    rise: float
    score: float
    spread: float


@dataclass(frozen=True, slots=True)
class _Day:
    """A rated day: its ordinal, mean rating, and weight (1 for a single reply)."""

    number: int
    level: float
    weight: float


def opened(rating: float) -> float:
    """Return a rating on the scale that does not end at 10."""
    if rating <= _OPEN_FROM:
        return rating
    if rating <= _OPEN_FROM + 1:
        return rating + _OPEN_STEP * (rating - _OPEN_FROM)
    top = _OPEN_FROM + 1
    return top + _OPEN_STEP + _OPEN_END * (rating - top)


def morning_effect(seen: Iterable[Sighting]) -> float:
    """Return how much higher this client rates mornings than the rest of a day.

    Drawn to 0.3 while few days have both.
    """
    days: dict[date, tuple[list[float], list[float]]] = {}
    for each in seen:
        if each.rating is not None:
            days.setdefault(each.day, ([], []))[not each.morning].append(each.rating)
    gaps = [
        _mean(early) - _mean(late) for early, late in days.values() if early and late
    ]
    return (MORNING * MORNING_DAYS + sum(gaps)) / (MORNING_DAYS + len(gaps))


def upward(seen: Sequence[Sighting]) -> Change | None:
    """Return the likeliest turn upward within the last week; None without any.

    `seen` are the client's reports in time order. Needs three rated days before the
    turn and two since.
    """
    days = _days(seen)
    if len(days) < FEWEST_BEFORE + FEWEST_SINCE:
        return None
    latest = days[-1].number
    fits = (_fit(days, latest - back) for back in range(1, LATEST + 1))
    return max((fit for fit in fits if fit), key=lambda fit: fit.score, default=None)


def _days(seen: Sequence[Sighting]) -> list[_Day]:
    rated = [(each, each.rating) for each in seen if each.rating is not None]
    if not rated:
        return []
    first = rated[-1][0].day.toordinal() - LATEST - BEFORE
    effect = morning_effect(each for each, _ in rated)
    days: dict[int, list[float]] = {}
    for each, rating in rated:
        number = each.day.toordinal()
        if number > first:
            level = opened(rating) - (effect if each.morning else 0.0)
            days.setdefault(number, []).append(level)
    return [
        _Day(number, _mean(levels), 1 / (DAY_SHARE + (1 - DAY_SHARE) / len(levels)))
        for number, levels in days.items()
    ]


def _fit(days: Sequence[_Day], turn: int) -> Change | None:
    """Fit a level up to the day of the turn and a climb after it (least squares)."""
    used = [day for day in days if day.number > turn - BEFORE]
    climbs = [min(1.0, max(0.0, (d.number - turn) / CLIMB_DAYS)) for d in used]
    before = climbs.count(0.0)
    if before < FEWEST_BEFORE or len(used) - before < FEWEST_SINCE:
        return None
    total = sum(day.weight for day in used)
    climb = sum(d.weight * c for d, c in zip(used, climbs, strict=True)) / total
    level = sum(day.weight * day.level for day in used) / total
    both = around = spread = 0.0
    for day, at in zip(used, climbs, strict=True):
        step, off = at - climb, day.level - level
        around += day.weight * step * step
        both += day.weight * step * off
        spread += day.weight * off * off
    slope = both / around
    error = _error(max(0.0, spread - slope * both), len(used) - 2)
    score = slope * math.sqrt(around) / error
    return Change(date.fromordinal(turn), slope * climbs[-1], score, error)


def _error(residual: float, days: int) -> float:
    """Return the client's own spread, drawn to the published one."""
    prior = PRIOR_DAYS * WITHIN_PERSON_SD**2
    return math.sqrt((prior + residual) / (PRIOR_DAYS + days))


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)
