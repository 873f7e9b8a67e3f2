"""The course of the pain rating: up beyond noise, or a trend over two weeks.

One reply two points up says nothing: it happened to 83 % of stable synthetic
clients in a week. So a rise counts when the change model finds it (`change`), or
when two daily medians in a row are two points up in a client whose days hardly
differed before.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from programs.logic import change, trend
from programs.logic.assessment import NEXT_DAY, Finding
from programs.logic.history import TREND_DAYS, History

IMPROVING, WORSENING = "improving", "worsening"
UNCHANGED, UNCLEAR = "unchanged", "unclear"

# Two medians of one episode lie close together, and the later one is of now.
MOST_APART, STILL_NOW = timedelta(days=3), timedelta(days=2)
TREND_SPAN = timedelta(days=14)
SIGNIFICANT = 0.05

# A score that hardly any plateau reaches in a week, with a rise worth a call; both
# last days above the usual, so that one bad day is none (measured on the bench).
SURE_SCORE = 3.3
SURE_RISE = 1.5
BOTH_ABOVE = 0.8
# Days that differ by half a point or less leave no noise to be mistaken.
STEADY_DAYS, STEADY_RANGE = 4, 0.5
# Against the starting point alone: beyond the 95 % error of a pair (2.83 by the
# standard error of Childs 2005).
SURE_PAIR = 3.0


@dataclass(frozen=True, slots=True)
class Pair:
    """The last two rated days beside what is usual; ratings 0-10."""

    usual: float
    earlier: float
    latest: float

    @property
    def least_rise(self) -> float:
        """The rise both days show; negative when either is below the usual."""
        return min(self.earlier, self.latest) - self.usual

    @property
    def least_bad(self) -> float:
        """The higher of the two days: a fall is claimed only as far as both show."""
        return max(self.earlier, self.latest)


def last_pair(history: History) -> Pair | None:
    """Return the last two rated days with the usual pain before them.

    Usual is the starting point until five days are rated, then the median of seven
    days before the pair. None when the days are old, far apart, or alone.
    """
    days = list(history.pain_days)
    if len(days) < 2 or days[-1] < history.today - STILL_NOW:
        return None
    if days[-1] - days[-2] > MOST_APART:
        return None
    usual = _usual(history, days[-2])
    if usual is None:
        return None
    return Pair(usual, history.pain_days[days[-2]], history.pain_days[days[-1]])


def _usual(history: History, first_of_pair: date) -> float | None:
    if len(history.pain_days) < TREND_DAYS and history.start_pain is not None:
        return history.start_pain
    # baseline() skips the day named and the one before it
    named = first_of_pair + timedelta(days=1)
    return trend.baseline(history.pain_days, named)


def pain_up(history: History, pair: Pair | None) -> Finding | None:
    """Return the finding that pain is up beyond this client's own noise: next_day.

    Under five rated days, two daily medians in a row 3 points above the start. Then
    the change model, or two points in a steady client, the smallest change beyond
    error (Childs, Piva & Fritz 2005).
    """
    if pair is None or not history.enough_for_pain_trend():
        return None
    if pair.least_rise < BOTH_ABOVE:
        return None
    if len(history.pain_days) < TREND_DAYS:
        return _up(history, pair, None) if pair.least_rise >= SURE_PAIR else None
    turn = change.upward(history.seen)
    sure = turn is not None and turn.score >= SURE_SCORE and turn.rise >= SURE_RISE
    useful = pair.least_rise >= trend.USEFUL_CHANGE
    if not sure and not (useful and _is_steady(history)):
        return None
    return _up(history, pair, turn if sure else None)


def _is_steady(history: History) -> bool:
    """Return whether the days of a week hardly differ, up to two before the pair.

    The day just before may hold the first hours of the rise.
    """
    days = list(history.pain_days)
    last = days[-2] - timedelta(days=2)
    first = last - timedelta(days=6)
    usual = [v for day, v in history.pain_days.items() if first <= day <= last]
    return len(usual) >= STEADY_DAYS and max(usual) - min(usual) <= STEADY_RANGE


def _up(history: History, pair: Pair, turn: change.Change | None) -> Finding:
    numbers = {
        "usual": pair.usual,
        "earlier": pair.earlier,
        "latest": pair.latest,
        "rise": pair.least_rise,
        "hours_ago": history.hours_since(history.ratings[-1][0]),
    }
    if turn is not None:
        numbers["score"] = turn.score
        numbers["spread"] = turn.spread
        numbers["days_since_turn"] = float((history.today - turn.since).days)
    return Finding("pain_up", NEXT_DAY, numbers)


def pain_trend(history: History, pair: Pair | None, slow: "SlowChange | None") -> str:
    """Return improving, worsening, unchanged, or unclear under 5 days and 8 reports.

    A step is read from the last two days, a slow course from two weeks by a
    Mann-Kendall test with a change that matters to someone who starts there.
    """
    if not history.enough_for_pain_trend():
        return UNCLEAR
    if pair is None and slow is None:
        return UNCLEAR
    if pair is not None:
        if trend.is_reliably_worse(pair.usual, pair.usual + pair.least_rise):
            return WORSENING
        if trend.is_reliably_better(pair.usual, pair.least_bad):
            return IMPROVING
    return _slow_word(slow)


@dataclass(frozen=True, slots=True)
class SlowChange:
    """Fitted change over the days, from a level at the start; p two-sided."""

    start: float
    change: float
    slope: float
    p: float


def slow_change(history: History) -> SlowChange | None:
    """Return the fitted change of the last two weeks; None under five rated days."""
    first = history.today - TREND_SPAN
    days = {day: pain for day, pain in history.pain_days.items() if day > first}
    if len(days) < TREND_DAYS:
        return None
    points = [(float(day.toordinal()), pain) for day, pain in days.items()]
    slope = trend.theil_sen(points) or 0.0
    values = list(days.values())
    span = points[-1][0] - points[0][0]
    test = trend.mann_kendall(values)
    return SlowChange(trend.middle(values[:3]), slope * span, slope, test.p)


def _slow_word(slow: SlowChange | None) -> str:
    if slow is None or slow.p >= SIGNIFICANT:
        return UNCHANGED
    if slow.change >= trend.USEFUL_CHANGE:
        return WORSENING
    if -slow.change >= trend.smallest_useful(slow.start):
        return IMPROVING
    return UNCHANGED
