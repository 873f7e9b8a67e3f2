"""The change model: what it finds, what leaves it still."""

import random

import pytest

from programs.logic import change
from programs.logic.history import prepare
from programs.logic.reports import SymptomReport
from programs.logic.response import assess
from tests.logic.programs.cases import ZONE, report


def _days(levels: list[float], *, start: float = 0.0) -> list[SymptomReport]:
    """Three ratings a local day, at 9, 14 and 19."""
    return [
        report(24 * day + hours, pain=level)
        for day, level in enumerate(levels)
        for hours in (start, start + 5, start + 10)
    ]


def _upward(reports: list[SymptomReport]) -> change.Change | None:
    history = prepare(reports, now=reports[-1].at, zone=ZONE)
    return change.upward(history.seen)


def test_a_climb_is_dated_and_measured() -> None:
    found = _upward(_days([4.0] * 10 + [5, 6, 7, 7.5]))
    assert found is not None
    assert found.since.isoformat() == "2026-03-11"
    assert found.rise == pytest.approx(3.6, abs=0.3)
    assert found.score > 4


def test_a_flat_series_scores_nothing() -> None:
    found = _upward(_days([4.0] * 14))
    assert found is not None and abs(found.score) < 0.2


def test_it_needs_three_days_before_and_two_since() -> None:
    assert _upward(_days([4.0, 4, 8, 8])) is None
    assert _upward(_days([4.0, 4, 4, 8, 8])) is not None


def test_a_client_who_varies_more_needs_a_higher_rise() -> None:
    rise = [7.0, 7, 7, 7]
    calm = _upward(_days([4.0, 4, 4, 4, 4, 4, 4, 4, 4, 4, *rise]))
    wild = _upward(_days([1.0, 7, 1, 7, 4, 7, 1, 4, 7, 1, *rise]))
    assert calm and wild
    assert calm.spread < 1.2 < wild.spread
    assert wild.score < calm.score


def test_ten_stands_for_ten_or_more() -> None:
    assert [change.opened(r) for r in (0, 5, 8, 9, 10)] == pytest.approx(
        [0, 5, 8, 9.3, 11.2]
    )


def test_the_morning_is_taken_off_as_the_client_rates_it() -> None:
    steep = [
        each
        for day in range(20)
        for each in (report(24 * day, pain=6), report(24 * day + 8, pain=4))
    ]
    seen = prepare(steep, now=steep[-1].at, zone=ZONE).seen
    assert change.morning_effect(seen) == pytest.approx((0.3 * 10 + 2 * 20) / 30)
    assert change.morning_effect([]) == pytest.approx(0.3)


def test_mornings_alone_are_no_climb() -> None:
    """Days of mornings only after days of evenings only, 1.5 points apart."""
    early = [report(24 * d + h, pain=6.5) for d in range(10, 13) for h in (0, 1)]
    both = [
        report(24 * d + h, pain=5 + 1.5 * (h < 2)) for d in range(10) for h in (0, 9)
    ]
    found = assess([*both, *early], now=early[-1].at, zone=ZONE)
    assert "pain_up" not in found.reasons


def test_noise_around_a_level_seldom_alarms() -> None:
    rng, alarms = random.Random("noise"), 0
    for _ in range(60):
        levels = [min(10.0, max(0.0, rng.gauss(5, 1))) for _ in range(21)]
        reports = _days([round(level) for level in levels])
        alarms += "pain_up" in assess(reports, now=reports[-1].at, zone=ZONE).reasons
    assert alarms <= 2


@pytest.mark.parametrize(("now", "is_up"), [(5, False), (6, True)])
def test_against_the_start_alone_it_takes_three_points(now: float, is_up: bool) -> None:
    reports = _days([now] * 3)
    found = assess(
        reports,
        now=reports[-1].at,
        zone=ZONE,
        baseline=report(-1, pain=3, areas={"thigh": "present"}),
    )
    assert ("pain_up" in found.reasons) is is_up


def test_a_higher_rating_while_the_reach_draws_in_is_no_worsening() -> None:
    """Back pain up as the leg clears is acceptable (textbook summaries)."""
    places = ["foot"] * 9 + ["lower_leg"] * 6 + ["thigh"] * 6 + ["buttock"] * 9
    reports = [
        report(8 * n, pain=4 if n < 18 else 8, areas={place: "present"})
        for n, place in enumerate(places)
    ]
    same = [
        report(8 * n, pain=4 if n < 18 else 8, areas={"thigh": "present"})
        for n in range(30)
    ]
    assert "pain_up" not in assess(reports, now=reports[-1].at, zone=ZONE).reasons
    assert "pain_up" in assess(same, now=same[-1].at, zone=ZONE).reasons
