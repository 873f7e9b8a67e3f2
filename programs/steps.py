"""One-step changes of a running program, for a decision made in one move.

Each step changes one thing: a dose by the exercise's own rule, an exercise left out,
one rung up a ladder, one session a day. Steps are common practice and only offered;
the clinician chooses, or edits the whole program.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

from programs import library
from programs.logic import ladder
from programs.logic.dose import describe
from programs.logic.exercises import Exercise, places
from programs.plans import ItemPlan, ProgramPlan, dose_of

REVIEW_AFTER = timedelta(days=7)
FEWEST_SESSIONS, MOST_SESSIONS = 2, 8
# Half as much again, and no further than the exercise's common range.
RAISE_BY = 0.5


@dataclass(frozen=True, slots=True)
class Step:
    """One change with a name for the form, words for the person, and the plan it gives.

    `code` stays the same for the same program, so a form can send it back.
    """

    code: str
    label: str
    plan: ProgramPlan
    asks_less: bool = True


def steps_down(
    plan: ProgramPlan, *, today: date, last_added: str = ""
) -> tuple[Step, ...]:
    """Changes that ask for less, the last-added exercise first."""
    found = [*_leave_out(plan, last_added), *_lower(plan), *_fewer_sessions(plan)]
    return tuple(_reviewed(step, today) for step in found)


def steps_up(plan: ProgramPlan, *, today: date) -> tuple[Step, ...]:
    """Changes that ask for more: a rung up, a dose up inside its common range."""
    found = [*_rung_up(plan), *_raise(plan), *_more_sessions(plan)]
    return tuple(replace(_reviewed(step, today), asks_less=False) for step in found)


def _leave_out(plan: ProgramPlan, last_added: str) -> Iterator[Step]:
    if len(plan.items) < 2:
        return
    last = last_added or plan.items[-1].exercise
    for item in sorted(plan.items, key=lambda item: item.exercise != last):
        others = tuple(one for one in plan.items if one is not item)
        note = " (added last)" if item.exercise == last else ""
        yield Step(
            f"without:{item.exercise}",
            f"Leave out {_name(item)}{note}",
            replace(plan, items=others),
        )


def _lower(plan: ProgramPlan) -> Iterator[Step]:
    for item in plan.items:
        rule = _exercise(item).safer
        value = getattr(item, rule.field)
        less = rule.lower(value) if value is not None else None
        if less is not None:
            yield _dosed(plan, item, rule.field, less, "lower")


def _raise(plan: ProgramPlan) -> Iterator[Step]:
    for item in plan.items:
        field = _exercise(item).safer.field
        value = getattr(item, field)
        _, most = _exercise(item).common_range.get(field, (0, 0))
        if value is not None and value < most:
            more = min(most, value + max(1, round(value * RAISE_BY)))
            yield _dosed(plan, item, field, more, "raise")


def _dosed(
    plan: ProgramPlan, item: ItemPlan, field: str, value: int, code: str
) -> Step:
    changes: dict[str, int] = {field: value}
    after = _ranged(replace(item, **changes))
    words = (describe(dose_of(one, plan.times_per_day)) for one in (item, after))
    before, then = words
    return Step(
        f"{code}:{item.exercise}",
        f"{_name(item)}: {before} becomes {then}",
        _exchanged(plan, item, after),
    )


def _ranged(item: ItemPlan) -> ItemPlan:
    """The pre-approved range still around the hold, never wider upward than it.

    A hold that a clinician just set must not rise on its own from the old range.
    """
    hold, low = item.hold_seconds, item.hold_low
    if low is None or hold is None:
        return item
    if not 5 <= hold <= 60:
        return replace(item, hold_low=None, hold_high=None)
    return replace(item, hold_low=min(low, hold), hold_high=hold)


def _rung_up(plan: ProgramPlan) -> Iterator[Step]:
    known = places(library.load().values())
    used = {item.exercise for item in plan.items}
    for item in plan.items:
        above = ladder.next_rung(item.exercise, known)
        if above is None or above in used:
            continue
        usual = library.load()[above].dose
        fresh = ItemPlan(
            above,
            hold_seconds=usual.hold_seconds,
            repetitions=usual.repetitions,
            sets=usual.sets,
            duration_minutes=usual.duration_minutes,
        )
        dose = describe(dose_of(fresh, plan.times_per_day))
        yield Step(
            f"rung:{item.exercise}",
            f"{_name(item)} becomes {_name(fresh)}, {dose}",
            _exchanged(plan, item, fresh),
        )


def _fewer_sessions(plan: ProgramPlan) -> Iterator[Step]:
    if plan.times_per_day > FEWEST_SESSIONS:
        yield _sessions(plan, plan.times_per_day - 1)


def _more_sessions(plan: ProgramPlan) -> Iterator[Step]:
    hours = plan.waking_to.hour - plan.waking_from.hour
    if plan.times_per_day < min(MOST_SESSIONS, hours):
        yield _sessions(plan, plan.times_per_day + 1)


def _sessions(plan: ProgramPlan, times: int) -> Step:
    items = tuple(
        replace(item, times_per_day=min(item.times_per_day, times))
        if item.times_per_day
        else item
        for item in plan.items
    )
    label = f"{plan.times_per_day} sessions a day become {times}"
    return Step(
        f"times:{times}", label, replace(plan, items=items, times_per_day=times)
    )


def reviewed(plan: ProgramPlan, today: date) -> ProgramPlan:
    """A review date that has passed moves on: an old one would refuse the change."""
    if plan.review_on >= today:
        return plan
    return replace(plan, review_on=today + REVIEW_AFTER)


def _reviewed(step: Step, today: date) -> Step:
    return replace(step, plan=reviewed(step.plan, today))


def _exchanged(plan: ProgramPlan, old: ItemPlan, new: ItemPlan) -> ProgramPlan:
    items = tuple(new if item is old else item for item in plan.items)
    return replace(plan, items=items)


def _exercise(item: ItemPlan) -> Exercise:
    return library.load()[item.exercise]


def _name(item: ItemPlan) -> str:
    return _exercise(item).text("en").name
