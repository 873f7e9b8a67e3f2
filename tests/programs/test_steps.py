"""One-step changes: each changes one thing, is allowed, and goes the way it says."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta

import pytest

from programs import library, plans
from programs.plans import ItemPlan, ProgramPlan
from programs.steps import steps_down, steps_up
from tests import cast

TODAY = date(2026, 3, 2)


def codes(steps: tuple[object, ...]) -> list[str]:
    return [step.code for step in steps]  # type: ignore[attr-defined]


def single(code: str) -> ProgramPlan:
    """The exercise alone at its common dose."""
    usual = library.load()[code].dose
    item = ItemPlan(
        code,
        hold_seconds=usual.hold_seconds,
        repetitions=usual.repetitions,
        sets=usual.sets,
        duration_minutes=usual.duration_minutes,
    )
    return cast.plan(items=(item,))


def test_the_last_added_exercise_is_offered_first() -> None:
    steps = steps_down(cast.plan(), today=TODAY, last_added="prone_on_elbows")
    assert codes(steps)[:2] == ["without:prone_on_elbows", "without:press_up"]
    assert "(added last)" in steps[0].label
    assert [item.exercise for item in steps[0].plan.items] == ["press_up"]


def test_a_hold_and_repetitions_are_halved_by_the_exercise_s_rule() -> None:
    steps = {step.code: step for step in steps_down(cast.plan(), today=TODAY)}
    assert steps["lower:prone_on_elbows"].plan.items[0].hold_seconds == 15
    assert steps["lower:press_up"].plan.items[1].repetitions == 5
    assert "30 s x3 becomes 15 s x3" in steps["lower:prone_on_elbows"].label


def test_the_only_exercise_is_never_left_out() -> None:
    steps = steps_down(single("press_up"), today=TODAY)
    assert not [code for code in codes(steps) if code.startswith("without")]


def test_a_rung_up_takes_the_next_exercise_at_its_common_dose() -> None:
    steps = {step.code: step for step in steps_up(cast.plan(), today=TODAY)}
    assert "rung:prone_on_elbows" not in steps  # the press-up is there already
    assert steps["rung:press_up"].plan.items[1].exercise == "press_up_sag"


def test_a_lowered_hold_leaves_no_room_to_rise_on_its_own() -> None:
    item = ItemPlan(
        "prone_on_elbows",
        hold_seconds=30,
        repetitions=3,
        sets=1,
        hold_low=20,
        hold_high=45,
    )
    steps = steps_down(cast.plan(items=(item,)), today=TODAY)
    lowered = steps[0].plan.items[0]
    assert (lowered.hold_low, lowered.hold_seconds, lowered.hold_high) == (15, 15, 15)


def test_a_review_date_that_has_passed_moves_on() -> None:
    late = cast.plan(review_on=TODAY - timedelta(days=1))
    for step in steps_down(late, today=TODAY):
        assert step.plan.review_on == TODAY + timedelta(days=7)


def test_a_rarer_exercise_follows_fewer_sessions() -> None:
    plan = cast.plan()
    often = replace(plan.items[1], times_per_day=5)
    steps = steps_down(replace(plan, items=(plan.items[0], often)), today=TODAY)
    fewer = next(step for step in steps if step.code == "times:4")
    assert fewer.plan.items[1].times_per_day == 4


def test_a_short_day_gets_no_session_more() -> None:
    short = cast.plan(waking_from=time(8), waking_to=time(12), times_per_day=4)
    assert not [c for c in codes(steps_up(short, today=TODAY)) if "times" in c]


@pytest.mark.parametrize("code", sorted(library.load()))
def test_every_step_of_every_exercise_is_a_program_a_client_may_be_on(
    code: str,
) -> None:
    plan = single(code)
    for step in steps_down(plan, today=TODAY):
        assert plans.checked(step.plan, today=TODAY) == step.plan
        assert not plans.raises(plan, step.plan), step.code
    for step in steps_up(plan, today=TODAY):
        assert plans.checked(step.plan, today=TODAY) == step.plan
        assert plans.raises(plan, step.plan), step.code
