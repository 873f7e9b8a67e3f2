"""How the last days would have gone: the same guards, each report at its own time."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from programs.logic.dose import Dose
from programs.logic.guards import Approval
from programs.logic.plan_state import PlanItem, PlanState
from programs.logic.what_if import Alarm, Past, WhatIfDay, what_if
from tests.logic.programs.cases import ZONE, at, report

PLAN = PlanState(
    items=(PlanItem("prone_on_elbows", "Elbows", Dose(10, 3, 1, None, 3), at(0)),)
)
APPROVAL = Approval("prone_on_elbows", 5, 30, on=False)
STALLED: dict[str, Any] = {
    "pain": 5,
    "areas": {"thigh": "same"},
    "side": "right",
    "completion": "done",
}
REPORTS = [report(8 * n, **STALLED) for n in range(1, 43)]
PAST = Past(holds=((at(0), 10),))


def days(past: Past = PAST, **given: Any) -> tuple[WhatIfDay, ...]:
    values = {"now": at(24 * 14), "plan": PLAN, "approval": APPROVAL} | given
    return what_if(
        values.pop("reports", REPORTS), zone=ZONE, past=past, since=at(0), **values
    )


def test_the_hold_rises_a_step_at_a_time_and_stops_at_the_top() -> None:
    found = days()
    steps = [step for day in found for step in day.steps]
    assert [(step.before, step.after) for step in steps] == [
        (10, 15),
        (15, 20),
        (20, 30),
    ]
    assert found[-1].hold == 30
    assert {day.real for day in found} == {10}
    assert next(one.code for one in found[-1].refusals) == "at_top"


def test_nothing_rises_in_the_first_two_days_or_in_a_week_with_an_alert() -> None:
    early = next(day for day in days() if day.steps)
    assert early.day >= (at(48)).astimezone(ZONE).date()
    alarm = Alarm("next_day", at(30), at(40))
    late = [day for day in days(replace(PAST, alarms=(alarm,))) if day.steps]
    assert late[0].day >= (at(40) + timedelta(days=7)).astimezone(ZONE).date()


def test_a_held_program_and_an_open_question_hold_it_back() -> None:
    for past in (
        replace(PAST, still=((at(0), None),)),
        replace(PAST, questions=((at(1), None),)),
        replace(PAST, alarms=(Alarm("review", at(1)),)),
    ):
        assert not any(day.steps for day in days(past))


def test_a_real_change_of_the_hold_starts_it_anew() -> None:
    past = replace(PAST, holds=((at(0), 10), (at(200), 5)), changes=(at(200),))
    found = days(past)
    after = [day for day in found if day.day > at(200).astimezone(ZONE).date()]
    assert after[0].real == 5
    assert after[0].hold <= 10


def test_only_the_days_asked_for_and_with_reports() -> None:
    found = days(days=7)
    assert len(found) <= 7
    assert days(reports=[]) == ()
    assert all(day.suggestion is None or day.suggestion.source for day in found)


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.integers(1, 330),
            st.sampled_from(["done", "skipped", None]),
            st.integers(3, 6),
        ),
        max_size=40,
    )
)
def test_the_rule_stays_in_its_range_and_a_day_apart(
    said: list[tuple[int, str | None, int]],
) -> None:
    reports = [report(h, completion=word, pain=pain) for h, word, pain in said]
    found = days(reports=reports)
    assert all(10 <= day.hold <= 30 for day in found)
    stepped = [day.day for day in found if day.steps]
    assert len(stepped) == len(set(stepped))
    assert all(len(day.steps) <= 1 for day in found)
