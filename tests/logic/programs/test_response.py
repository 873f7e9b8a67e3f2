"""The response engine on report series whose right answer is known."""

from typing import Any

import pytest

from programs.logic.explanation import explain
from programs.logic.response import assess
from tests.logic.programs.cases import ZONE, at, load, series

CASES = load("responses.json")


def _baseline(case: dict[str, Any]) -> Any:
    given = case.get("baseline")
    if given is None:
        return None
    return series(given) if isinstance(given, list) else series([given])[0]


def _assess(case: dict[str, Any]) -> Any:
    reports = series(case["reports"])
    now = at(case["now_hours"]) if "now_hours" in case else reports[-1].at
    return assess(
        reports,
        now=now,
        zone=ZONE,
        since=at(case["since"]) if "since" in case else None,
        due=[at(hours) for hours in case.get("due", ())],
        baseline=_baseline(case),
    )


@pytest.mark.parametrize("case", CASES, ids=[case["id"] for case in CASES])
def test_a_series_gets_its_reasons_and_urgency(case: dict[str, Any]) -> None:
    found, expected = _assess(case), case["expect"]
    assert list(found.reasons) == expected["reasons"], case["why"]
    for name in ("urgency", "location_trend", "pain_trend", "ready_to_progress"):
        if name in expected:
            assert getattr(found, name) == expected[name], (name, case["why"])


@pytest.mark.parametrize("case", CASES, ids=[case["id"] for case in CASES])
def test_a_bare_farther_report_is_exposed_only_where_expected(
    case: dict[str, Any],
) -> None:
    numbers = _assess(case).numbers.get("farther_once", {})
    expected = case["expect"].get("farther_once", {})
    assert {name: numbers.get(name) for name in expected} == expected
    assert bool(numbers) == bool(expected)


@pytest.mark.parametrize("case", CASES, ids=[case["id"] for case in CASES])
def test_every_reason_comes_with_its_numbers(case: dict[str, Any]) -> None:
    found = _assess(case)
    assert set(found.numbers) - {"farther_once"} == set(found.reasons)
    assert all(
        isinstance(value, float)
        for numbers in found.numbers.values()
        for value in numbers.values()
    )


def test_an_alert_on_spreading_outlives_one_report_back_in() -> None:
    reports = series(
        [
            {"hours": 0, "areas": {"buttock": "present"}},
            {"hours": 8, "areas": {"thigh": "present"}},
            {"hours": 16, "areas": {"thigh": "present"}},
            {"hours": 24, "areas": {"buttock": "present"}},
        ]
    )
    once = assess(reports, now=at(24), zone=ZONE)
    twice = assess(
        [*reports, *series([{"hours": 32, "areas": {"buttock": "present"}}])],
        now=at(32),
        zone=ZONE,
    )
    assert "spreading" in once.reasons
    assert "spreading" not in twice.reasons


def test_the_new_reach_becomes_usual_after_five_days() -> None:
    entries = [
        {"hours": 0, "every": 8, "count": 9, "areas": {"buttock": "present"}},
        {"hours": 72, "every": 8, "count": 20, "areas": {"thigh": "present"}},
    ]
    reports = series(entries)
    assert "spreading" in assess(reports[:15], now=at(112), zone=ZONE).reasons
    assert "spreading" not in assess(reports, now=at(224), zone=ZONE).reasons


def test_a_report_from_a_clock_a_little_ahead_still_counts() -> None:
    entries = [
        {"hours": 0, "areas": {"buttock": "present"}},
        {"hours": 9, "areas": {"foot": "present"}},
    ]
    assert assess(series(entries), now=at(8), zone=ZONE).urgency == "same_day"
    assert assess(series(entries), now=at(6), zone=ZONE).urgency is None


@pytest.mark.parametrize("case", CASES, ids=[case["id"] for case in CASES])
def test_every_reason_is_said_in_a_sentence(case: dict[str, Any]) -> None:
    found = _assess(case)
    sentences = explain(found)
    assert len(sentences) == len(found.reasons)
    assert all(text.endswith(".") and "_" not in text for text in sentences)
