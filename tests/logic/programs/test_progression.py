"""The decision table: which row speaks, what it suggests, when it holds back."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from programs.library import load
from programs.logic.dose import Dose
from programs.logic.history import prepare
from programs.logic.plan_state import PlanItem, PlanState
from programs.logic.progression import ROWS, suggest
from programs.logic.reports import SymptomReport
from programs.logic.response import assess
from programs.logic.suggestion import ACTIONS, Suggestion
from tests.logic.programs.cases import ZONE, at, report, series

LIBRARY = load()
PLACES = {code: (entry.ladder, entry.rung) for code, entry in LIBRARY.items()}
NAMES = {code: entry.text("en").name for code, entry in LIBRARY.items()}


def item(code: str, dose: Dose, *, day: int = 0) -> PlanItem:
    return PlanItem(code, NAMES[code], dose, at(24 * day), LIBRARY[code].safer)


LYING = item("prone_lying", Dose(None, None, None, 5, 5))
ELBOWS = item("prone_on_elbows", Dose(30, 3, 1, None, 5), day=1)
PRESS_UP = item("press_up", Dose(None, 10, 1, None, 5), day=2)
PLAN = PlanState(items=(ELBOWS, PRESS_UP), places=PLACES, names=NAMES)

DONE: dict[str, Any] = {"completion": "done"}
THIGH: dict[str, Any] = {"areas": {"thigh": "same"}}
STALLED = [{"hours": 0, "every": 8, "count": 12, "pain": 5, **THIGH, **DONE}]
SETTLED = [
    {"hours": 0, "every": 8, "count": 12, "pain": 2, "areas": {"back": "same"}, **DONE}
]
CALM = [
    {"hours": 0, "every": 8, "count": 24, "pain": 1, "areas": {"back": "same"}, **DONE}
]
FLAT = [{"hours": 0, "every": 8, "count": 48, "pain": 5, **THIGH, **DONE}]
SPREADS = [
    {"hours": 0, "areas": {"buttock": "present"}},
    {"hours": 8, "areas": {"thigh": "present"}},
    {"hours": 16, "areas": {"thigh": "present"}},
]
PAIN_UP = [
    {"hours": 0, "every": 8, "count": 21, "pain": 3, **THIGH},
    {"hours": 168, "every": 8, "count": 6, "pain": 6, **THIGH},
]
SKIPPED = [{"hours": 0, "every": 24, "count": 3, "completion": "skipped"}]


def suggested(
    entries: list[dict[str, Any]],
    plan: PlanState = PLAN,
    *,
    now: float | None = None,
    **given: Any,
) -> Suggestion | None:
    reports: list[SymptomReport] = series(entries)
    moment = reports[-1].at if now is None else at(now)
    found = assess(reports, now=moment, zone=ZONE, **given)
    history = prepare(reports, now=moment, zone=ZONE, **given)
    return suggest(found, history=history, plan=plan)


def test_every_row_names_its_source_and_what_would_change_it() -> None:
    assert {row.id for row in ROWS} == {str(number) for number in range(1, 16)}
    assert all(row.source and row.would_change for row in ROWS)
    assert all(row.when.endswith(".") and row.does.endswith(".") for row in ROWS)


@pytest.mark.parametrize(
    ("entries", "changes", "row", "action", "code"),
    [
        (STALLED, {"warning": "emergency"}, "1", "stop", None),
        (STALLED, {"warning": "same_day"}, "2", "pause", None),
        (SPREADS, {}, "3", "step_back", "press_up"),
        (SPREADS, {"items": (LYING,)}, "3", "review_direction", "prone_lying"),
        (SPREADS, {"items": ()}, "3", "pause", None),
        (PAIN_UP, {}, "4", "lower", "press_up"),
        (STALLED, {"lateral_shift_changed": True}, "8", "pause", None),
        (SKIPPED, {"skipped_for_pain": True}, "7", "step_back", "press_up"),
        (STALLED, {"settles": True}, "6", "keep", None),
        (CALM, {}, "14", "taper", "press_up"),
        (FLAT, {"rungs_tried": 2}, "12", "review_direction", None),
        (FLAT, {"rungs_tried": 1}, "10", "progress", "press_up"),
        (SETTLED, {}, "11", "function", None),
        (STALLED, {}, "10", "progress", "press_up"),
    ],
)
def test_the_first_row_that_holds_speaks(
    entries: list[dict[str, Any]],
    changes: dict[str, Any],
    row: str,
    action: str,
    code: str | None,
) -> None:
    found = suggested(entries, replace(PLAN, **changes))
    assert found is not None
    assert (found.row, found.action, found.exercise_code) == (row, action, code)
    assert action in ACTIONS
    assert found.sentence.endswith(".")


@pytest.mark.parametrize(
    ("entries", "words"),
    [
        (PAIN_UP, "A rated day under 5.0: the usual 3.0 plus 2."),
        (SPREADS, "Two reports at least 6 h apart at the buttock or hip or nearer."),
    ],
)
def test_what_would_change_it_names_the_clients_own_numbers(
    entries: list[dict[str, Any]], words: str
) -> None:
    found = suggested(entries)
    assert found is not None
    assert found.would_change == words


def test_newly_stated_numbness_pauses() -> None:
    numb = [{"hours": 0, **THIGH, "sensation": {"thigh": "numb"}}]
    found = suggested(numb)
    assert found is not None
    assert (found.row, found.action) == ("2", "pause")


def test_back_up_and_leg_in_is_kept_and_reassured() -> None:
    entries = [
        {"hours": 0, "pain": 3, "areas": {"foot": "present"}},
        {"hours": 24, "pain": 6, "areas": {"back": "present"}},
    ]
    found = suggested(entries)
    assert found is not None
    assert (found.row, found.action) == ("5", "keep")
    assert "(+3.0)" in found.sentence


def test_symptoms_drawing_in_stay_on_their_rung() -> None:
    entries = [
        {"hours": 0, "every": 8, "count": 6, "pain": 5, "areas": {"foot": "same"}},
        {"hours": 48, "every": 8, "count": 6, "pain": 4, **THIGH},
    ]
    found = suggested(entries)
    assert found is not None
    assert (found.row, found.action) == ("11", "keep")


def test_few_sessions_confirmed_want_fewer_exercises() -> None:
    entries = [
        {"hours": hours, "completion": "done" if hours == 0 else "skipped"}
        for hours in range(0, 96, 16)
    ]
    found = suggested(entries, due=[at(hours) for hours in range(0, 96, 12)])
    assert found is not None
    assert (found.row, found.action) == ("9", "fewer_exercises")
    assert "1 of 7 sessions" in found.sentence


def test_six_weeks_of_severe_pain_want_a_medical_review() -> None:
    entries = [{"hours": 1000, "every": 8, "count": 12, "pain": 7, **THIGH, **DONE}]
    found = suggested(entries, since=at(0), baseline=report(0, pain=8))
    assert found is not None
    assert (found.row, found.action) == ("13", "medical_review")


def test_silence_suggests_a_call() -> None:
    early = suggested([{"hours": 0, "pain": 3}], now=73)
    late = suggested([{"hours": 0, "pain": 3}], now=200)
    assert early is not None
    assert late is not None
    assert (early.row, early.action) == (late.row, late.action) == ("15", "call")
    assert "73 h" in early.sentence
    assert "texts alone" in late.sentence


def test_going_back_names_the_rung_below() -> None:
    found = suggested(SPREADS)
    assert found is not None
    assert found.target_code == "prone_on_elbows"
    assert "from the buttock or hip to the thigh (2 reports" in found.sentence


def test_lowering_follows_the_exercises_own_rule() -> None:
    found = suggested(PAIN_UP)
    assert found is not None
    assert found.dose == Dose(None, 5, 1, None, 5)
    assert "6.0 and 6.0 on the last two rated days, usually 3.0" in found.sentence


def test_a_dose_at_its_floor_goes_back_a_rung() -> None:
    least = replace(PRESS_UP, dose=Dose(None, PRESS_UP.safer.floor, 1, None, 5))  # type: ignore[union-attr]
    found = suggested(PAIN_UP, replace(PLAN, items=(least,)))
    assert found is not None
    assert (found.row, found.action) == ("4", "step_back")


def test_progress_is_one_rung_of_one_exercise_and_no_dose() -> None:
    found = suggested(STALLED)
    assert found is not None
    assert (found.exercise_code, found.target_code) == ("press_up", "press_up_sag")
    assert found.dose is None


def test_the_top_of_the_ladder_asks_for_a_clinician() -> None:
    top = item("press_up_sag", Dose(None, 10, 1, None, 5))
    found = suggested(STALLED, replace(PLAN, items=(top,)))
    assert found is not None
    assert found.action == "review_direction"


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"open_alerts": frozenset({"next_day"})}, "alert was open"),
        ({"open_alerts": frozenset({"emergency"})}, "alert was open"),
        ({"unanswered_ask_back": True}, "unanswered"),
        ({"last_change_at": at(88) - timedelta(hours=23)}, "24 h"),
        ({"last_change_at": at(88) - timedelta(hours=30)}, None),
        ({"open_alerts": frozenset({"review"})}, None),
    ],
)
def test_a_guard_turns_progress_into_keep_and_says_why(
    changes: dict[str, Any], words: str | None
) -> None:
    found = suggested(STALLED, replace(PLAN, **changes))
    assert found is not None
    assert found.row == "10"
    assert found.action == ("progress" if words is None else "keep")
    assert (words or "one rung up") in found.sentence


def test_a_held_back_suggestion_says_what_would_release_it() -> None:
    found = suggested(STALLED, replace(PLAN, open_alerts=frozenset({"next_day"})))
    assert found is not None
    assert found.would_change == "A week without an alert that somebody had to act on."


def test_fewer_than_six_replies_in_three_days_hold_progress_back() -> None:
    sparse = [{"hours": 0, "every": 24, "count": 7, "pain": 5, **THIGH, **DONE}]
    found = suggested(sparse)
    assert found is not None
    assert found.action == "keep"
    assert "only 3 of 6 replies" in found.sentence


def test_three_sessions_must_follow_a_change() -> None:
    entries = [
        {"hours": 0, "every": 12, "count": 6, "pain": 5, **THIGH, **DONE},
        {"hours": 72, "every": 12, "count": 2, "pain": 5, "completion": "skipped"},
    ]
    found = suggested(entries, replace(PLAN, last_change_at=at(59)))
    assert found is not None
    assert found.action == "keep"
    assert "only 1 of 3 sessions" in found.sentence


def test_nothing_to_say_is_no_suggestion() -> None:
    assert suggested([{"hours": 0, "pain": 3}]) is None
