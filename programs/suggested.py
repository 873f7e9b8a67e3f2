"""The decision a kept suggestion stands for, ready for the writer of decisions.

Only what the suggestion names is changed. A suggestion that no rule can turn into a
dose (review the direction, a trial seen by the clinician) keeps the program as it
is: accepting it says so on the record, the change itself is the clinician's.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from programs import library
from programs.deciding import Choice
from programs.logic.course_rows import MOST_EXERCISES, TAPERED_TIMES
from programs.models import KeptSuggestion
from programs.plans import ItemPlan, ProgramPlan
from programs.steps import reviewed

WITHOUT_PLAN = {
    "stop": "pause",
    "pause": "pause",
    "call": "call",
    "medical_review": "refer",
    "keep": "hold",
    "function": "hold",
    "review_direction": "hold",
}
FEWEST_TIMES = 3


def choice_of(
    kept: KeptSuggestion, plan: ProgramPlan, *, today: date, note: str = ""
) -> Choice:
    """The decision that carries the suggestion out on the program as it is now."""
    words = note.strip() or kept.sentence
    changed = _changed(kept, plan)
    if changed is None or changed == plan:
        return Choice(WITHOUT_PLAN.get(kept.action, "hold"), note=words)
    kind = "progress" if kept.action == "progress" else "reduce"
    if not changed.items:
        return Choice("pause", note=words)
    return Choice(kind, note=words, plan=reviewed(changed, today))


def changes_a_dose(kept: KeptSuggestion, plan: ProgramPlan) -> bool:
    """Whether accepting it changes the program by itself."""
    return _changed(kept, plan) not in (None, plan)


def _changed(kept: KeptSuggestion, plan: ProgramPlan) -> ProgramPlan | None:
    if kept.action == "lower":
        return _dosed(kept, plan)
    if kept.action in ("step_back", "progress"):
        return _exchanged(kept, plan)
    if kept.action == "review_direction" and kept.exercise:
        return replace(plan, items=_without(plan, kept.exercise))
    if kept.action == "fewer_exercises":
        return _fewer(plan)
    if kept.action == "taper":
        return _times(plan, min(plan.times_per_day, TAPERED_TIMES))
    return None


def _dosed(kept: KeptSuggestion, plan: ProgramPlan) -> ProgramPlan:
    """The suggested dose; the pre-approved range never reaches above the new hold."""
    dose = kept.dose or {}
    names = ("hold_seconds", "repetitions", "sets", "duration_minutes")
    values = {name: dose[name] for name in names if dose.get(name) is not None}
    values |= {"hold_low": None, "hold_high": None}
    items = tuple(
        replace(item, **values) if item.exercise == kept.exercise else item
        for item in plan.items
    )
    return replace(plan, items=items)


def _exchanged(kept: KeptSuggestion, plan: ProgramPlan) -> ProgramPlan:
    if any(item.exercise == kept.target for item in plan.items):
        return replace(plan, items=_without(plan, kept.exercise))
    usual = library.load()[kept.target].dose
    fresh = ItemPlan(
        kept.target,
        hold_seconds=usual.hold_seconds,
        repetitions=usual.repetitions,
        sets=usual.sets,
        duration_minutes=usual.duration_minutes,
    )
    items = tuple(
        fresh if item.exercise == kept.exercise else item for item in plan.items
    )
    return replace(plan, items=items)


def _fewer(plan: ProgramPlan) -> ProgramPlan:
    if len(plan.items) > MOST_EXERCISES:
        return replace(plan, items=plan.items[:MOST_EXERCISES])
    return _times(plan, max(FEWEST_TIMES, plan.times_per_day - 1))


def _times(plan: ProgramPlan, times: int) -> ProgramPlan:
    times = min(times, plan.times_per_day)
    items = tuple(
        replace(item, times_per_day=min(item.times_per_day, times))
        if item.times_per_day
        else item
        for item in plan.items
    )
    return replace(plan, items=items, times_per_day=times)


def _without(plan: ProgramPlan, code: str) -> tuple[ItemPlan, ...]:
    return tuple(item for item in plan.items if item.exercise != code)
