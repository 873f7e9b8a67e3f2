"""Kept suggestions: opened by reports, answered once, overtaken, quiet afterwards."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

import pytest

from clinic import scope
from clinic.errors import BadInput, Conflict
from clinic.models import AuditEntry
from programs import considering, plans, prescribing, suggested
from programs.logic.dose import Dose
from programs.models import HomeProgram, KeptSuggestion
from programs.plans import ItemPlan
from tests.cast import NOW, Cast, plan, prescribe

DAY = timedelta(days=1)
PROGRESS: dict[str, Any] = {
    "row": "10",
    "action": "progress",
    "sentence": "Nothing changes. Exchange it.",
    "would_change": "A change of 1 point or one zone either way.",
    "source": "common practice",
    "exercise_code": "press_up",
    "target_code": "press_up_sag",
    "dose": None,
}
KEEP = (
    PROGRESS
    | {"row": "11", "action": "keep", "exercise_code": None}
    | {"target_code": None}
)


@pytest.fixture
def program(cast: Cast) -> Iterator[HomeProgram]:
    row = prescribe(cast.client, cast.clinician)
    with scope.within(cast.organization.id):
        yield row


def kept(
    program: HomeProgram, said: dict[str, Any] | None = PROGRESS, at: datetime = NOW
) -> KeptSuggestion | None:
    considering.keep(program, said, now=at)
    return considering.open_of(program.client)


def test_the_same_suggestion_is_one_row_with_the_newest_words(
    program: HomeProgram,
) -> None:
    first = kept(program)
    again = kept(program, PROGRESS | {"sentence": "Still nothing."}, NOW + DAY)
    assert first is not None and again is not None
    assert (first.id, again.sentence) == (again.id, "Still nothing.")
    assert (again.first_at, again.last_at) == (NOW, NOW + DAY)
    assert AuditEntry.objects.filter(action="suggestion.kept").count() == 1


def test_another_suggestion_or_none_lets_the_open_one_lapse(
    program: HomeProgram,
) -> None:
    kept(program)
    other = kept(program, KEEP)
    assert other is not None
    assert other.row == "11"
    assert kept(program, None) is None
    states = KeptSuggestion.objects.order_by("first_at", "id")
    assert [row.state for row in states] == ["lapsed", "lapsed"]


def test_declining_needs_a_reason_and_keeps_it(
    cast: Cast, program: HomeProgram
) -> None:
    row = kept(program)
    assert row is not None
    with pytest.raises(BadInput):
        considering.answer(row, "declined", by=cast.clinician, now=NOW)
    done = considering.answer(
        row, "declined", reason="He lifts at work", by=cast.clinician, now=NOW
    )
    assert (done.reason, done.answered_by) == ("He lifts at work", cast.clinician)
    with pytest.raises(Conflict):
        considering.answer(row, "accepted", by=cast.clinician, now=NOW)
    assert considering.declined_raise_at(program.client, now=NOW + DAY) == NOW


def test_a_declined_change_stays_away_for_a_week_but_another_may_come(
    cast: Cast, program: HomeProgram
) -> None:
    row = kept(program)
    assert row is not None
    considering.answer(row, "declined", reason="no", by=cast.clinician, now=NOW)
    assert kept(program, at=NOW + 6 * DAY) is None
    assert kept(program, KEEP, NOW + 6 * DAY) is not None
    assert kept(program, at=NOW + 7 * DAY) is not None


def test_a_program_changed_another_way_is_an_edited_answer(
    cast: Cast, program: HomeProgram
) -> None:
    kept(program)
    made = prescribing.revise(
        program, plan(times_per_day=4), by=cast.clinician, reason="fewer", now=NOW
    )
    row = KeptSuggestion.objects.get()
    assert (row.state, row.reason, row.revision) == ("edited", "fewer", made)


def test_a_stopped_program_leaves_nothing_open(
    cast: Cast, program: HomeProgram
) -> None:
    kept(program)
    prescribing.stop(program, by=cast.clinician, now=NOW)
    assert KeptSuggestion.objects.get().state == "lapsed"


def row(**said: Any) -> KeptSuggestion:
    values = {"action": "keep", "exercise": "", "target": "", "dose": None}
    return KeptSuggestion(sentence="Why.", **(values | said))


LOWER = {"hold_seconds": 15, "repetitions": 3, "sets": 1, "duration_minutes": None}
THREE = [ItemPlan("prone_on_elbows", hold_seconds=30, repetitions=3, sets=1)] + [
    ItemPlan(code, repetitions=10, sets=1)
    for code in ("press_up", "press_up_sag", "nerve_glide")
]


@pytest.mark.parametrize(
    ("said", "kind", "codes"),
    [
        ({"action": "stop"}, "pause", None),
        ({"action": "call"}, "call", None),
        ({"action": "medical_review"}, "refer", None),
        ({"action": "keep"}, "hold", None),
        ({"action": "function"}, "hold", None),
        (
            {
                "action": "step_back",
                "exercise": "press_up",
                "target": "prone_on_elbows",
            },
            "reduce",
            ["prone_on_elbows"],
        ),
        (
            {"action": "step_back", "exercise": "press_up", "target": "prone_lying"},
            "reduce",
            ["prone_on_elbows", "prone_lying"],
        ),
        (
            {"action": "progress", "exercise": "press_up", "target": "press_up_sag"},
            "progress",
            ["prone_on_elbows", "press_up_sag"],
        ),
        (
            {"action": "lower", "exercise": "prone_on_elbows", "dose": LOWER},
            "reduce",
            ["prone_on_elbows", "press_up"],
        ),
        ({"action": "taper"}, "reduce", ["prone_on_elbows", "press_up"]),
        ({"action": "fewer_exercises"}, "reduce", ["prone_on_elbows", "press_up"]),
        (
            {"action": "review_direction", "exercise": "press_up"},
            "reduce",
            ["prone_on_elbows"],
        ),
    ],
)
def test_each_action_stands_for_one_decision(
    said: dict[str, Any], kind: str, codes: list[str] | None
) -> None:
    found = suggested.choice_of(row(**said), plan(), today=NOW.date())
    assert (found.kind, found.note) == (kind, "Why.")
    if codes is None:
        assert found.plan is None
    else:
        assert found.plan is not None
        assert [item.exercise for item in found.plan.items] == codes


def test_leaving_out_the_only_exercise_pauses() -> None:
    alone = plan(items=plan().items[1:])
    said = row(action="review_direction", exercise="press_up")
    assert suggested.choice_of(said, alone, today=NOW.date()).kind == "pause"


def test_fewer_exercises_keeps_three_then_takes_a_session_less() -> None:
    four = plan(items=tuple(THREE))
    found = suggested.choice_of(row(action="fewer_exercises"), four, today=NOW.date())
    assert found.plan is not None
    assert len(found.plan.items) == 3
    found = suggested.choice_of(row(action="fewer_exercises"), plan(), today=NOW.date())
    assert found.plan is not None
    assert found.plan.times_per_day == 4


def test_a_lowered_hold_has_no_range_to_rise_in() -> None:
    ranged = plan(
        items=(
            ItemPlan(
                "prone_on_elbows",
                hold_seconds=30,
                repetitions=3,
                sets=1,
                hold_low=5,
                hold_high=60,
            ),
        )
    )
    said = row(action="lower", exercise="prone_on_elbows", dose=LOWER)
    found = suggested.choice_of(said, ranged, today=NOW.date())
    assert found.plan is not None
    [item] = found.plan.items
    assert (item.hold_seconds, item.hold_low, item.hold_high) == (15, None, None)
    assert plans.dose_of(item, 5) == Dose(15, 3, 1, None, 5)


def test_a_rung_down_in_place_of_an_exercise_is_no_raise() -> None:
    down = plan(items=(plan().items[0], ItemPlan("prone_lying", duration_minutes=5)))
    assert plans.raises(plan(), down) == []
    beside = plan(items=(*plan().items, ItemPlan("prone_lying", duration_minutes=5)))
    assert plans.raises(plan(), beside) == ["prone_lying"]
