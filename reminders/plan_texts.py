"""The reminders a plan will produce, before any of them is due.

The composer writes its texts with the same functions, so what a clinician sees
counted in the editor is what leaves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

from clinic.errors import BadInput
from programs import library, plans
from programs.logic.dose import describe
from programs.models import ProgramItem
from programs.plan_checks import Audience
from programs.plans import ItemPlan, ProgramPlan
from reminders.logic import wording
from reminders.logic.wording import Text

ONE_PART = 160  # septets of a lone part, 3GPP TS 23.040
Item = TypeVar("Item", ItemPlan, ProgramItem)


@dataclass(frozen=True, slots=True)
class SessionText:
    """The reminder of the day's sessions that begin alike: which, and its words.

    `position` is the place of the first exercise in the plan; `sessions` counts from 1.
    """

    position: int
    sessions: tuple[int, ...]
    text: Text
    changed: Text


def of_slot(items: Sequence[Item], times_per_day: int, index: int) -> list[Item]:
    """The exercises of one of the day's sessions; a rarer one is in the first ones."""
    wanted = [item for item in items if index < (item.times_per_day or times_per_day)]
    return wanted or list(items[:1])


def session(
    items: Sequence[ItemPlan] | Sequence[ProgramItem],
    times_per_day: int,
    audience: Audience,
    *,
    changed: bool,
) -> Text:
    """The reminder of one session: first exercise, its dose, three questions."""
    first = items[0]
    exercise = library.load()[first.exercise]
    return wording.reminder(
        language=audience.language,
        clinic=audience.clinic,
        exercise=exercise.text(audience.language).short_name,
        dose=describe(plans.dose_of(first, times_per_day), audience.language),
        more=len(items) - 1,
        changed=changed,
    )


def of_items(
    items: Sequence[ItemPlan], times_per_day: int, audience: Audience
) -> list[SessionText]:
    """The different reminders of one day, in the order they come."""
    groups: dict[tuple[int, int], list[int]] = {}
    for index in range(times_per_day):
        asked = of_slot(items, times_per_day, index)
        groups.setdefault((items.index(asked[0]), len(asked)), []).append(index)
    found = []
    for (position, _), indexes in groups.items():
        asked = of_slot(items, times_per_day, indexes[0])
        plain, changed = (
            session(asked, times_per_day, audience, changed=is_new)
            for is_new in (False, True)
        )
        sessions = tuple(index + 1 for index in indexes)
        found.append(SessionText(position, sessions, plain, changed))
    return found


def fits_one_part(plan: ProgramPlan, audience: Audience) -> None:
    """Refuse a plan with a reminder that takes more than one part; raises BadInput."""
    for one in of_items(plan.items, plan.times_per_day, audience):
        for text in (one.text, one.changed):
            if text.segments.parts > 1:
                _refuse(plan, audience, one.position, text)


def _refuse(plan: ProgramPlan, audience: Audience, position: int, text: Text) -> None:
    item = plan.items[position]
    name = library.load()[item.exercise].text(audience.language).short_name
    odd = ", ".join(sorted({one.character for one in text.segments.culprits}))
    why = (
        f"the sign {odd} in it more than doubles its length"
        if odd
        else f"{text.segments.units - ONE_PART} signs too many for one text"
    )
    dose = describe(plans.dose_of(item, plan.times_per_day), audience.language)
    raise BadInput(
        f"The reminder for {audience.clinic} ({audience.language}) is too long with"
        f' "{name}, {dose}": {why}. Shorten the dose (fewer sets), or put another'
        " exercise first.",
        field=f"items.{position}.exercise",
    )
