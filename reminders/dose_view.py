"""Dose and load of one client for the page: what is suggested, what rises, how often.

Everything is words here; the page only lays them out.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from clinic.models import Client
from programs import considering, library, plans, prescribing, stepping, suggested
from programs.logic.guards import Refusal
from programs.logic.suggestion import ACTIONS
from programs.models import HoldApproval, HoldStep, HomeProgram, KeptSuggestion
from programs.models import suggestions as states
from programs.steps import Step, steps_down, steps_up
from reminders import adapting, surroundings
from reminders.logic import load
from reminders.models import ReminderLoad

MOST_ANSWERS = 5


@dataclass(frozen=True, slots=True)
class Rising:
    """One hold with a range: switched on by whom, and what forbids a step now."""

    exercise: str
    name: str
    hold: int
    low: int
    high: int
    approval: HoldApproval | None
    is_on: bool
    refusals: tuple[Refusal, ...]


@dataclass(frozen=True, slots=True)
class Stepped:
    """One step that happened, and whether it can be taken back."""

    row: HoldStep
    name: str
    may_undo: bool


@dataclass(frozen=True, slots=True)
class Load:
    """How often the client is reminded, in words, and the lines behind it."""

    level: str
    words: str
    per_day: int
    times: int
    fixed: bool
    why: str
    row: ReminderLoad | None
    choices: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class DoseView:
    """The suggestion with its possible answers, holds that may rise, steps, load."""

    suggestion: KeptSuggestion | None
    accepting: str
    steps: tuple[Step, ...]
    answers: list[KeptSuggestion]
    rising: list[Rising]
    stepped: list[Stepped]
    load: Load


def view(client: Client, program: HomeProgram, now: datetime) -> DoseView:
    """Gather what the page shows; the client came from `access`."""
    open_one = considering.open_of(client)
    current = prescribing.current_revision(program)
    plan = plans.of_revision(current)
    answers = KeptSuggestion.objects.filter(client=client, state__in=states.ANSWERS)
    return DoseView(
        suggestion=open_one,
        accepting=_accepting(open_one, plan) if open_one else "",
        steps=other_steps(client, plan, now) if open_one else (),
        answers=list(
            answers.select_related("answered_by").order_by("-answered_at")[
                :MOST_ANSWERS
            ]
        ),
        rising=rising(client, program, now),
        stepped=_stepped(program, current),
        load=load_of(program, plan.times_per_day),
    )


def other_steps(client: Client, plan: plans.ProgramPlan, now: datetime) -> Any:
    """One-step changes to choose from instead of the suggested one."""
    today = prescribing.local_day(client, now)
    return (*steps_down(plan, today=today), *steps_up(plan, today=today))


def load_of(program: HomeProgram, times: int) -> Load:
    """The load in force, in words."""
    row = adapting.current(program)
    level = row.level if row else load.FULL
    return Load(
        level=level,
        words=load.LEVEL_WORDS[level],
        per_day=load.per_day(level, times),
        times=times,
        fixed=bool(row and row.fixed),
        why=load.REASON_WORDS[row.reason] if row else "",
        row=row,
        choices=tuple(load.LEVEL_WORDS.items()),
    )


def _accepting(kept: KeptSuggestion, plan: plans.ProgramPlan) -> str:
    """What happens on accepting."""
    assert kept.action in ACTIONS
    if suggested.changes_a_dose(kept, plan):
        return "The program changes as said, and the next reminder carries it."
    if kept.action in ("stop", "pause"):
        return "The exercises pause until somebody lets them go on."
    return "It goes on the record; the program stays as it is."


def rising(client: Client, program: HomeProgram, now: datetime) -> list[Rising]:
    """Each hold that has a range, and what forbids a step now."""
    revision = prescribing.current_revision(program)
    ranged = [item for item in revision.items.all() if item.hold_low is not None]
    if not ranged:
        return []
    known = surroundings.known(client, now)
    newest = {row.exercise: row for row in stepping.approvals_of(program)}
    found = []
    for item in ranged:
        row = newest.get(item.exercise)
        same = row is not None and (row.low, row.high) == (
            item.hold_low,
            item.hold_high,
        )
        found.append(
            Rising(
                exercise=item.exercise,
                name=_name(item.exercise),
                hold=item.hold_seconds,
                low=item.hold_low,
                high=item.hold_high,
                approval=row,
                is_on=bool(row and row.on and same),
                refusals=stepping.refusals_of(program, item.exercise, known, now=now),
            )
        )
    return found


def _stepped(program: HomeProgram, revision: Any) -> list[Stepped]:
    holds = {item.exercise: item.hold_seconds for item in revision.items.all()}
    return [
        Stepped(
            row,
            _name(row.exercise),
            may_undo=row.undone_at is None and holds.get(row.exercise) == row.after,
        )
        for row in stepping.steps_of(program)
    ]


def _name(code: str) -> str:
    return library.load()[code].text("en").name
