"""Statistics of a 0-10 pain series: daily medians, change detectors, slopes.

Every statement works on daily medians: several replies a day are correlated, and a
test on raw replies claims more than they know.
"""

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from statistics import NormalDist

DailyMedians = dict[date, float]

# Standard error 1.02 and smallest change beyond it, 2 points: Childs, Piva & Fritz
# 2005. Within-person spread over a week 1.2: Pagé 2022.
NRS_SEM = 1.02
USEFUL_CHANGE = 2.0
WITHIN_PERSON_SD = 1.2
# Change that is useful relative to the start, 30 %: Ostelo 2008.
USEFUL_SHARE = 0.3


@dataclass(frozen=True, slots=True)
class ReliableChange:
    """Jacobson & Truax 1991: errors of one score and of a difference, and the index.

    `index` beyond 1.96 either way is change beyond error at 95 %.
    """

    sem: float
    difference_error: float
    index: float

    def smallest_reliable(self, confidence: float) -> float:
        """Return the smallest change beyond error at this confidence (0-1)."""
        return NormalDist().inv_cdf((1 + confidence) / 2) * self.difference_error


@dataclass(frozen=True, slots=True)
class MannKendall:
    """Trend test: `s` and its tie-corrected variance, normal score, two-sided p."""

    s: int
    variance: float
    z: float
    p: float


def middle(values: Sequence[float]) -> float:
    """Return the median of at least one value; lighter than the library's."""
    ordered = sorted(values)
    half, odd = divmod(len(ordered), 2)
    return ordered[half] if odd else (ordered[half - 1] + ordered[half]) / 2


def daily_medians(
    ratings: Iterable[tuple[datetime, float]], zone: tzinfo
) -> DailyMedians:
    """Return the median rating of each of the client's local days, in day order."""
    days: dict[date, list[float]] = {}
    for at, rating in ratings:
        days.setdefault(at.astimezone(zone).date(), []).append(rating)
    return {day: middle(days[day]) for day in sorted(days)}


def baseline(
    days: DailyMedians, on: date, *, span: int = 7, lag: int = 2
) -> float | None:
    """Return the median of daily medians over `span` days, skipping the last `lag`.

    The lag keeps a rise that has begun out of what it is compared with. `on` counts
    as the first skipped day. None when no day in the span has a rating.
    """
    last = on - timedelta(days=lag)
    first = last - timedelta(days=span - 1)
    values = [value for day, value in days.items() if first <= day <= last]
    return middle(values) if values else None


def cusum_up(
    values: Sequence[float], *, mean: float, sd: float, slack: float = 0.5
) -> list[float]:
    """Return the upper cumulative sum in units of `sd`; alarm above 4 is usual.

    `slack` is half the shift worth finding, in sd (Page 1954).
    """
    sums, total = [], 0.0
    for value in values:
        total = max(0.0, total + (value - mean) / sd - slack)
        sums.append(total)
    return sums


def ewma(
    values: Sequence[float],
    *,
    mean: float,
    sd: float,
    weight: float = 0.3,
    width: float = 3.0,
) -> list[tuple[float, float]]:
    """Return (smoothed value, upper limit) pairs; above the limit is an alarm.

    `weight` is that of the newest value, `width` the limit in sd (Roberts 1959).
    """
    pairs, smoothed = [], mean
    for count, value in enumerate(values, start=1):
        smoothed = weight * value + (1 - weight) * smoothed
        spread = weight / (2 - weight) * (1 - (1 - weight) ** (2 * count))
        pairs.append((smoothed, mean + width * sd * math.sqrt(spread)))
    return pairs


def theil_sen(points: Sequence[tuple[float, float]]) -> float | None:
    """Return the median of pairwise slopes (Theil 1950, Sen 1968).

    None with fewer than two different x.
    """
    slopes = [
        (y2 - y1) / (x2 - x1)
        for place, (x1, y1) in enumerate(points)
        for x2, y2 in points[place + 1 :]
        if x2 != x1
    ]
    return middle(slopes) if slopes else None


def mann_kendall(values: Sequence[float]) -> MannKendall:
    """Return the Mann-Kendall trend test with the tie correction (Kendall 1975).

    Ratings are ordinal and full of ties; without the correction the variance is too
    large and real trends are missed.
    """
    n = len(values)
    s = sum(
        (later > earlier) - (later < earlier)
        for place, earlier in enumerate(values)
        for later in values[place + 1 :]
    )
    ties = sum(t * (t - 1) * (2 * t + 5) for t in Counter(values).values())
    variance = (n * (n - 1) * (2 * n + 5) - ties) / 18
    z = (s - (s > 0) + (s < 0)) / math.sqrt(variance) if variance > 0 else 0.0
    return MannKendall(s, variance, z, math.erfc(abs(z) / math.sqrt(2)))


def reliable_change(
    before: float, after: float, *, sd: float, reliability: float
) -> ReliableChange:
    """Return the reliable change index of a pair of scores.

    `sd` is the spread at the start, `reliability` the test-retest coefficient below
    1. Raises ValueError when the two leave no error to compare with.
    """
    if sd <= 0 or not 0 <= reliability < 1:
        raise ValueError("Needs a spread above 0 and a reliability from 0 to below 1.")
    sem = sd * math.sqrt(1 - reliability)
    error = math.sqrt(2) * sem
    return ReliableChange(sem, error, (after - before) / error)


def smallest_useful(start: float) -> float:
    """Return the change that matters to someone who starts here.

    1 point from 1-4, 2 from 5-7, 3 from 8-10: hospital cohort of 1232 people with
    back pain, 2021.
    """
    if start < 5:
        return 1.0
    return 2.0 if start < 8 else 3.0


def is_reliably_better(before: float, after: float) -> bool:
    """Return whether pain fell by at least 2 points and by at least 30 %.

    Both, because 3 to 2 is a third and still within error (Childs 2005, Ostelo
    2008).
    """
    fall = before - after
    return fall >= USEFUL_CHANGE and fall >= USEFUL_SHARE * before


def is_reliably_worse(before: float, after: float) -> bool:
    """Return whether pain rose by at least 2 points (Childs 2005)."""
    return after - before >= USEFUL_CHANGE
