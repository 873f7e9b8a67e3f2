"""What the program and template editors share: checks, choices, history."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms

from clinic.errors import PlumblineError
from clinic.models import Staff
from programs import access, library, plans
from programs.item_rows import ItemRows
from programs.logic.dose import describe
from programs.logic.exercises import LADDERS, ladder_of
from programs.models import HomeProgram, ProgramRevision
from programs.pages import LADDER_WORDS

Choices = list[tuple[str, list[tuple[str, str]]]]


def all_valid(rows: ItemRows, *form_parts: forms.Form) -> bool:
    """Check every part, so that all faults show at once."""
    readable = [part.is_valid() for part in form_parts]
    if not rows.is_valid():
        return False
    times = form_parts[0].cleaned_data.get("times_per_day") or 12
    return rows.check(times) and all(readable)


def show(error: PlumblineError, rows: ItemRows, *form_parts: forms.Form) -> None:
    """Put a writer's refusal beside the field it names, wherever that field is."""
    if rows.show(error):
        return
    for part in form_parts:
        if error.field in part.fields:
            part.add_error(error.field, str(error))
            return
    form_parts[0].add_error(None, str(error))


def names(codes: Iterable[str]) -> str:
    """The exercises by name in one line."""
    return ", ".join(library.load()[code].text("en").name for code in codes)


def exercise_choices() -> Choices:
    """The library by ladder, to add from."""
    everything = library.load().values()
    return [
        (
            LADDER_WORDS[name],
            [(one.code, one.text("en").name) for one in ladder_of(everything, name)],
        )
        for name in LADDERS
    ]


def revisions(staff: Staff, program: HomeProgram) -> dict[str, Any]:
    """The program's revisions newest first, each with what it raised."""
    rows = list(access.revisions(staff, program.id, "program.view"))
    shown = [
        _shown(row, earlier)
        for row, earlier in zip(rows, [*rows[1:], None], strict=True)
    ]
    return {"revisions": shown, "current": shown[0]}


def _shown(row: ProgramRevision, earlier: ProgramRevision | None) -> dict[str, Any]:
    plan = plans.of_revision(row)
    raised = plans.raises(plans.of_revision(earlier), plan) if earlier else ()
    return {
        "row": row,
        "items": item_words(plan.items, plan.times_per_day),
        "raised": names(raised),
    }


def item_words(
    items: Iterable[plans.ItemPlan], times_per_day: int
) -> list[dict[str, str]]:
    """Each item's exercise and dose in words."""
    return [
        {
            "code": item.exercise,
            "name": library.load()[item.exercise].text("en").name,
            "dose": describe(plans.dose_of(item, times_per_day), form="long"),
        }
        for item in items
    ]
