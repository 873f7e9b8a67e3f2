"""Statistics against values worked out by hand and published thresholds."""

from datetime import UTC, date, datetime
from statistics import median

import pytest

from programs.logic import trend
from tests.logic.programs.cases import ZONE

# Series and results worked out independently from the textbook formulae.
RISING = [4, 4, 5, 6, 6, 7, 7]
FALLING = [6, 6, 5, 6, 4, 5, 3, 4, 3, 2]


def test_cusum_alarms_on_the_sixth_day() -> None:
    """Page 1954, mean 4, sd 1.2, slack 0.5, alarm above 4."""
    sums = trend.cusum_up(RISING, mean=4, sd=1.2)
    assert sums == pytest.approx([0, 0, 0.333, 1.5, 2.667, 4.667, 6.667], abs=5e-4)
    assert [total > 4 for total in sums].index(True) == 5


def test_ewma_alarms_on_the_sixth_day() -> None:
    """Roberts 1959, weight 0.3, three sd."""
    pairs = trend.ewma(RISING[:6], mean=4, sd=1.2)
    smoothed, limits = zip(*pairs, strict=True)
    assert smoothed == pytest.approx([4, 4, 4.3, 4.81, 5.167, 5.717], abs=5e-4)
    assert limits == pytest.approx([5.080, 5.318, 5.421, 5.468, 5.491, 5.502], abs=5e-4)
    assert [value > limit for value, limit in pairs].index(True) == 5


def test_theil_sen_is_the_median_of_45_slopes() -> None:
    """Theil 1950, Sen 1968."""
    assert trend.theil_sen(list(enumerate(FALLING))) == pytest.approx(-0.5)


def test_theil_sen_of_one_moment_is_no_slope() -> None:
    assert trend.theil_sen([(1, 2), (1, 5)]) is None


def test_mann_kendall_corrects_for_ties() -> None:
    """Kendall 1975; without the tie term the variance would be 125."""
    test = trend.mann_kendall(FALLING)
    assert test.s == -33
    assert test.variance == pytest.approx(118.333, abs=5e-4)
    assert test.z == pytest.approx(-2.942, abs=5e-4)
    assert test.p == pytest.approx(0.0033, abs=5e-5)


def test_mann_kendall_of_a_flat_series_finds_nothing() -> None:
    test = trend.mann_kendall([5, 5, 5])
    assert (test.s, test.z, test.p) == (0, 0, 1)


def test_reliable_change_index() -> None:
    """Jacobson & Truax 1991, sd 2.0, reliability 0.72 (Childs, Piva & Fritz 2005)."""
    change = trend.reliable_change(7, 4, sd=2.0, reliability=0.72)
    assert change.sem == pytest.approx(1.0583, abs=5e-5)
    assert change.difference_error == pytest.approx(1.4967, abs=5e-5)
    assert change.index == pytest.approx(-2.0045, abs=5e-5)
    assert change.smallest_reliable(0.90) == pytest.approx(2.462, abs=5e-4)
    assert change.smallest_reliable(0.95) == pytest.approx(2.933, abs=5e-4)


@pytest.mark.parametrize(("sd", "reliability"), [(0, 0.7), (2, 1), (-1, 0.7)])
def test_reliable_change_needs_an_error(sd: float, reliability: float) -> None:
    with pytest.raises(ValueError, match="spread above 0"):
        trend.reliable_change(7, 4, sd=sd, reliability=reliability)


@pytest.mark.parametrize(
    ("start", "useful"), [(3, 1), (4, 1), (5, 2), (7, 2), (8, 3), (10, 3)]
)
def test_useful_change_depends_on_the_start(start: float, useful: float) -> None:
    """Hospital cohort of 1232 people with back pain, 2021."""
    assert trend.smallest_useful(start) == useful


@pytest.mark.parametrize(
    ("before", "after", "better"),
    [(6, 4, True), (3, 2, False), (8, 6, False), (4, 3, False), (5, 5, False)],
)
def test_better_needs_two_points_and_thirty_percent(
    before: float, after: float, better: bool
) -> None:
    """Childs, Piva & Fritz 2005; Ostelo 2008."""
    assert trend.is_reliably_better(before, after) is better


@pytest.mark.parametrize(("after", "worse"), [(6, False), (7, True)])
def test_worse_needs_two_points(after: float, worse: bool) -> None:
    """Childs, Piva & Fritz 2005."""
    assert trend.is_reliably_worse(5, after) is worse


def test_days_are_the_clients_own() -> None:
    late, next_morning = (
        datetime(2026, 3, 3, 4, 30, tzinfo=UTC),
        datetime(2026, 3, 3, 14, tzinfo=UTC),
    )
    days = trend.daily_medians([(next_morning, 6), (late, 2), (late, 4)], ZONE)
    assert days == {date(2026, 3, 2): 3, date(2026, 3, 3): 6}


def test_baseline_skips_the_last_two_days() -> None:
    days = {date(2026, 3, day): float(day) for day in range(1, 13)}
    expected = median(range(4, 11))
    assert trend.baseline(days, date(2026, 3, 12)) == expected
    assert trend.baseline(days, date(2026, 3, 2)) is None
