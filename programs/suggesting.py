"""The next step worth considering for a client's program; nothing is changed here."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import datetime
from itertools import pairwise
from typing import Any

from programs import library, plans
from programs.logic.assessment import Assessment
from programs.logic.exercises import places
from programs.logic.history import History
from programs.logic.plan_state import PlanItem, PlanState
from programs.logic.progression import suggest
from programs.models import HomeProgram, ProgramRevision


@dataclass(frozen=True, slots=True)
class Around:
    """What only the apps above know: alerts of the last week, the words of now."""

    open_alerts: frozenset[str] = frozenset()
    warning: str | None = None
    unanswered_ask_back: bool = False


def suggestion_for(
    program: HomeProgram | None,
    assessment: Assessment,
    history: History,
    around: Around,
) -> dict[str, Any] | None:
    """The decision table's suggestion as JSON-ready values, or None."""
    if program is None:
        return None
    found = suggest(assessment, history=history, plan=state_of(program, around))
    return asdict(found) if found else None


def state_of(program: HomeProgram, around: Around) -> PlanState:
    """The program as the rules read it, with what the apps above know."""
    revisions = list(program.revisions.prefetch_related("items").order_by("number"))
    exercises = library.load()
    return PlanState(
        items=_items(revisions),
        places=places(exercises.values()),
        names={code: each.text("en").name for code, each in exercises.items()},
        last_change_at=_last_change(revisions),
        open_alerts=around.open_alerts,
        warning=around.warning,
        unanswered_ask_back=around.unanswered_ask_back,
        rungs_tried=_rungs_tried(revisions),
    )


def _rungs_tried(revisions: list[ProgramRevision]) -> int:
    """Changes of exercise since the start; another dose of the same is no new rung."""
    codes = [
        frozenset(item.exercise for item in revision.items.all())
        for revision in revisions
    ]
    return sum(before != after for before, after in pairwise(codes))


def _items(revisions: list[ProgramRevision]) -> tuple[PlanItem, ...]:
    added: dict[str, datetime] = {}
    for revision in revisions:
        for item in revision.items.all():
            added.setdefault(item.exercise, revision.at)
    current = revisions[-1]
    return tuple(
        PlanItem(
            code=item.exercise,
            name=library.load()[item.exercise].text("en").name,
            dose=plans.dose_of(item, current.times_per_day),
            added_at=added[item.exercise],
            safer=library.load()[item.exercise].safer,
        )
        for item in current.items.all()
    )


def _last_change(revisions: list[ProgramRevision]) -> datetime | None:
    return revisions[-1].at if len(revisions) > 1 else None
