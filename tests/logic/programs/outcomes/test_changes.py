"""Change of every measure: reliable, useful, and the sentence that says so."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from programs.logic.outcomes import grc
from programs.logic.outcomes.line import line
from programs.logic.outcomes.measures import MEASURES, course
from programs.logic.outcomes.values import Change, Taken

AT = datetime(2026, 3, 2, 15, 0, tzinfo=UTC)


def changed(code: str, first: float, now: float) -> Change:
    later = Taken(AT + timedelta(days=28), now, {})
    return MEASURES[code].change(Taken(AT, first, {}), later)


def rated(*ratings: tuple[str, int | None], at: datetime = AT) -> Taken:
    answers: dict[str, Any] = {
        "activities": [{"name": name, "rating": value} for name, value in ratings]
    }
    return Taken(at, MEASURES["psfs"].score(answers).value, answers)


@pytest.mark.parametrize(
    ("first", "now", "better", "reliable", "useful"),
    [
        (6, 4, True, True, True),
        (3, 2, True, False, True),
        (8, 6, True, False, False),
        (8, 5, True, True, True),
        (5, 7, False, True, True),
        (5, 6, False, False, False),
        (7, 5, True, False, True),
        (4, 3, True, False, True),
        (0, 2, False, True, True),
    ],
)
def test_a_change_of_pain(
    first: float, now: float, better: bool, reliable: bool, useful: bool
) -> None:
    found = changed("nprs", first, now)
    assert (found.better, found.reliable, found.useful) == (better, reliable, useful)


def test_a_change_of_pain_in_words() -> None:
    assert changed("nprs", 6, 4).sentence == (
        "From 6 to 4 (-2, -33 %): reliably better, more than error alone (2 points, and"
        " 30 % when better; Childs 2005). Enough to matter (2 from a start of 6;"
        " hospital cohort 2021)."
    )
    assert "but not reliably" in changed("nprs", 3, 2).sentence
    assert "Below useful change (3 from" in changed("nprs", 8, 6).sentence
    assert changed("nprs", 4, 4).sentence == "4 both times: no change."


@pytest.mark.parametrize(
    ("first", "now", "reliable", "useful", "percent"),
    [
        (14, 9, True, True, -35.7),
        (14, 10, False, False, -28.6),
        (6, 4, False, True, -33.3),
        (3, 0, False, True, -100.0),
        (9, 15, True, True, 66.7),
        (22, 24, False, False, 9.1),
    ],
)
def test_a_change_of_roland_morris(
    first: float, now: float, reliable: bool, useful: bool, percent: float
) -> None:
    found = changed("rmdq", first, now)
    assert (found.reliable, found.useful) == (reliable, useful)
    assert found.percent == pytest.approx(percent, abs=0.05)


def test_a_change_the_scale_has_no_room_for_cannot_be_shown() -> None:
    for first, now in ((3, 0), (22, 24)):
        assert "cannot be shown" in changed("rmdq", first, now).sentence
    assert "cannot be shown" not in changed("rmdq", 14, 10).sentence


def test_own_activities_are_held_against_the_error_of_their_mean() -> None:
    before = rated(("stairs", 2), ("socks", 3), ("driving", 4))
    after = rated(("stairs", 5), ("socks", 6), ("driving", 4))
    found = MEASURES["psfs"].change(before, after)
    assert (found.difference, found.reliable, found.better) == (2.0, True, True)
    assert found.useful is None
    assert "Alone by 3 or more: stairs 2 to 5, socks 3 to 6." in found.sentence


@pytest.mark.parametrize(("now", "reliable"), [(5, True), (4, False)])
def test_a_single_activity_needs_three_points(now: int, reliable: bool) -> None:
    found = MEASURES["psfs"].change(rated(("stairs", 2)), rated(("stairs", now)))
    assert found.reliable is reliable


def test_a_dropped_activity_is_left_out_of_both_sides() -> None:
    before = rated(("stairs", 2), ("socks", 8), ("driving", 4))
    after = rated(("stairs", 4), ("driving", 6), ("socks", None), ("garden", 0))
    found = MEASURES["psfs"].change(before, after)
    assert (found.difference, found.reliable) == (2.0, True)
    assert "the mean of 2 activities" in found.sentence


def test_no_common_activity_is_no_comparison() -> None:
    found = MEASURES["psfs"].change(rated(("stairs", 2)), rated(("socks", 9)))
    assert found.reliable is None
    assert "nothing to compare" in found.sentence


@pytest.mark.parametrize(
    ("value", "better", "useful"),
    [(2, True, False), (3, True, True), (-2, False, False), (0, None, False)],
)
def test_a_rating_of_change_is_the_change(
    value: int, better: bool | None, useful: bool
) -> None:
    (step,) = course(MEASURES["grc"], [Taken(AT, value, {})])
    assert step.since_first is not None
    assert step.since_first.difference == value
    assert (step.since_first.better, step.since_first.useful) == (better, useful)


@pytest.mark.parametrize(
    ("values", "twice"),
    [([-2, -2], True), ([-2], False), ([-2, 0, -3], False), ([3, -2, -4], True)],
)
def test_worse_twice_in_a_row_asks_for_a_look(values: list[int], twice: bool) -> None:
    assert grc.is_worse_twice([Taken(AT, value, {}) for value in values]) is twice


def test_oswestry_is_said_without_a_bound_of_error() -> None:
    found = changed("odi", 44, 32)
    assert (found.reliable, found.useful) == (None, True)
    assert "not known here" in found.sentence


def test_start_back_says_the_group_that_changed() -> None:
    measure = MEASURES["start_back"]
    before = Taken(AT, 6, {"total": 6, "distress": 4})
    after = Taken(AT, 3, {"total": 3, "distress": 2})
    said = measure.change(before, after).sentence
    assert said.endswith("Now low risk group, before high risk group.")


def test_a_course_is_read_in_order_of_time_from_its_start() -> None:
    days = [Taken(AT + timedelta(days=day), value, {}) for day, value in DAYS]
    steps = course(MEASURES["rmdq"], days)
    assert [step.taken.value for step in steps] == [14, 10, 9]
    assert steps[0].since_first is None
    assert [s.since_first.reliable for s in steps[1:] if s.since_first] == [False, True]
    assert steps[1].since_last is None
    assert steps[2].since_last is not None
    assert steps[2].since_last.difference == -1


DAYS = [(14, 9.0), (0, 14.0), (7, 10.0)]


def test_the_line_names_every_score_for_who_cannot_see_it() -> None:
    taken = [Taken(AT + timedelta(days=day), value, {}) for day, value in sorted(DAYS)]
    svg = line(MEASURES["rmdq"], taken, zone=UTC, prefix="rmdq")
    assert "Mar 2: 14, Mar 9: 10, Mar 16: 9" in svg
    assert svg.count("<circle") == 3
    assert 'aria-labelledby="rmdq-t rmdq-d"' in svg
    assert "style=" not in svg
    assert line(MEASURES["rmdq"], [], zone=UTC, prefix="x") == ""
    assert line(MEASURES["rmdq"], taken[:1], zone=UTC, prefix="x").count("<circle") == 1
