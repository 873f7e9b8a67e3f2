"""A home program as a value: what is prescribed, checked before anything is saved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date, time, timedelta
from typing import Any

from clinic.errors import BadInput
from programs import library
from programs.logic import body
from programs.logic.dose import Dose, DoseError, check_dose
from programs.logic.exercises import places
from programs.logic.ladder import is_step_down
from programs.models import ProgramItem, ProgramRevision

PRECAUTIONS = (
    "recent_surgery",
    "fracture_or_osteoporosis",
    "pregnancy",
    "wrist_or_shoulder",
    "lying_prone",
    "dizziness",
)
PREFERENCES = ("extension", "lateral", "flexion", "none")
SHIFTS = ("", "left", "right")
MAX_ITEMS = 8
# The clock of every reminder is inside these hours unless a clinician widens them.
EARLIEST, LATEST = time(5, 0), time(23, 0)


@dataclass(frozen=True, slots=True)
class ItemPlan:
    """One exercise with its dose per session; unused fields are None.

    `times_per_day` None: in every session of the program's day.
    """

    exercise: str
    hold_seconds: int | None = None
    repetitions: int | None = None
    sets: int | None = None
    duration_minutes: int | None = None
    times_per_day: int | None = None
    hold_low: int | None = None
    hold_high: int | None = None


@dataclass(frozen=True, slots=True)
class ProgramPlan:
    """The whole home program: exercises in order, and how it is reminded."""

    items: tuple[ItemPlan, ...]
    times_per_day: int
    waking_from: time
    waking_to: time
    stop_rules: tuple[str, ...]
    review_on: date


@dataclass(frozen=True, slots=True)
class Start:
    """The starting point a clinician records when prescribing."""

    pain: float
    reach_left: str = ""
    reach_right: str = ""
    sensation: str = ""
    directional_preference: str = "extension"
    lateral_shift: str = ""
    precautions: dict[str, bool] | None = None


def stop_rules() -> tuple[str, ...]:
    """The keys of the stop rules a program may carry, from the library."""
    return tuple(library.phrases()["stop_if"])


def checked(plan: ProgramPlan, *, today: date) -> ProgramPlan:
    """The plan if a client may be on it; raises BadInput naming the field."""
    if not 1 <= len(plan.items) <= MAX_ITEMS:
        raise BadInput(f"Choose 1 to {MAX_ITEMS} exercises.", field="items")
    if not 1 <= plan.times_per_day <= 12:
        raise BadInput("Times a day: 1 to 12.", field="times_per_day")
    _check_window(plan)
    if not set(plan.stop_rules) <= set(stop_rules()):
        raise BadInput("A stop rule is not known.", field="stop_rules")
    if not today <= plan.review_on <= today + timedelta(days=120):
        raise BadInput(
            "The review date lies between today and 120 days from now.",
            field="review_on",
        )
    items = tuple(
        checked_item(item, plan.times_per_day, position)
        for position, item in enumerate(plan.items)
    )
    codes = [item.exercise for item in items]
    if len(set(codes)) != len(codes):
        raise BadInput("An exercise stands twice in the program.", field="items")
    return replace(plan, items=items)


def checked_item(item: ItemPlan, times_per_day: int, position: int) -> ItemPlan:
    """The item with its dose checked for its kind; raises BadInput."""
    exercise = library.load().get(item.exercise)
    if exercise is None:
        raise BadInput("This exercise is not in the library.", field="items")
    try:
        dose = check_dose(
            exercise.kind,
            hold_seconds=item.hold_seconds,
            repetitions=item.repetitions,
            sets=item.sets,
            duration_minutes=item.duration_minutes,
            times_per_day=item.times_per_day or times_per_day,
        )
    except DoseError as error:
        name = exercise.text("en").name
        where = f"items.{position}.{error.field}"
        raise BadInput(f"{name}: {error.message}", field=where) from error
    if (item.times_per_day or 0) > times_per_day:
        raise BadInput(
            f"{exercise.text('en').name}: at most as often as the program,"
            f" {times_per_day} times a day.",
            field=f"items.{position}.times_per_day",
        )
    _check_range(item, position)
    return replace(item, sets=dose.sets)


def checked_start(start: Start) -> Start:
    """The starting point if it is complete; raises BadInput naming the field."""
    if not 0 <= start.pain <= 10:
        raise BadInput("Pain is a number from 0 to 10.", field="pain")
    for name in ("reach_left", "reach_right"):
        if getattr(start, name) and getattr(start, name) not in body.AREAS:
            raise BadInput("This is not an area of the body list.", field=name)
    if start.sensation and start.sensation not in body.SENSATIONS:
        raise BadInput("Sensation is numb, tingling or weak.", field="sensation")
    if start.directional_preference not in PREFERENCES:
        raise BadInput(
            f"Choose one of {', '.join(PREFERENCES)}.", field="directional_preference"
        )
    if start.lateral_shift not in SHIFTS:
        raise BadInput("A shift is left or right, or empty.", field="lateral_shift")
    asked = start.precautions or {}
    missing = [name for name in PRECAUTIONS if not isinstance(asked.get(name), bool)]
    if missing:
        raise BadInput(
            "Ask each precaution and answer yes or no: "
            + ", ".join(name.replace("_", " ") for name in missing)
            + ".",
            field="precautions",
        )
    return start


def dose_of(item: ItemPlan | ProgramItem, times_per_day: int) -> Dose:
    """The dose of an item as a value."""
    return Dose(
        item.hold_seconds,
        item.repetitions,
        item.sets,
        item.duration_minutes,
        item.times_per_day or times_per_day,
    )


def of_revision(revision: ProgramRevision) -> ProgramPlan:
    """The plan a revision holds."""
    names = ItemPlan.__dataclass_fields__
    items = tuple(
        ItemPlan(**{name: getattr(row, name) for name in names})
        for row in revision.items.all()
    )
    return ProgramPlan(
        items,
        revision.times_per_day,
        revision.waking_from,
        revision.waking_to,
        tuple(revision.stop_rules),
        revision.review_on,
    )


def to_content(plan: ProgramPlan, review_after_days: int) -> dict[str, Any]:
    """The plan as a template version keeps it: without dates and persons."""
    items = [
        {name: value for name, value in asdict(item).items() if value is not None}
        for item in plan.items
    ]
    return {
        "items": items,
        "times_per_day": plan.times_per_day,
        "waking_from": plan.waking_from.isoformat("minutes"),
        "waking_to": plan.waking_to.isoformat("minutes"),
        "stop_rules": list(plan.stop_rules),
        "review_after_days": review_after_days,
    }


def from_content(content: dict[str, Any], *, today: date) -> ProgramPlan:
    """A plan for a client from a template version's content."""
    return ProgramPlan(
        items=tuple(ItemPlan(**item) for item in content["items"]),
        times_per_day=content["times_per_day"],
        waking_from=time.fromisoformat(content["waking_from"]),
        waking_to=time.fromisoformat(content["waking_to"]),
        stop_rules=tuple(content["stop_rules"]),
        review_on=today + timedelta(days=content["review_after_days"]),
    )


def raises(old: ProgramPlan, new: ProgramPlan) -> Sequence[str]:
    """The exercises whose dose goes up or that are added, by code.

    A lower rung in place of an exercise that leaves asks for less, and is no raise.
    """
    before = {item.exercise: dose_of(item, old.times_per_day) for item in old.items}
    left = set(before) - {item.exercise for item in new.items}
    known_places = places(library.load().values())
    raised = []
    for item in new.items:
        dose, known = dose_of(item, new.times_per_day), before.get(item.exercise)
        if known is None and any(
            is_step_down(code, item.exercise, known_places) for code in left
        ):
            continue
        if known is None or any(
            (getattr(dose, name) or 0) > (getattr(known, name) or 0)
            for name in Dose.__dataclass_fields__
        ):
            raised.append(item.exercise)
    return raised


def _check_window(plan: ProgramPlan) -> None:
    if plan.waking_from >= plan.waking_to:
        raise BadInput(
            "The reminder window ends before it begins: the first time must be"
            " earlier than the last.",
            field="waking_to",
        )
    if plan.waking_from < EARLIEST or plan.waking_to > LATEST:
        raise BadInput(
            f"Reminders stay between {EARLIEST:%H:%M} and {LATEST:%H:%M}.",
            field="waking_from",
        )
    minutes = _minutes(plan.waking_to) - _minutes(plan.waking_from)
    if minutes < 60 * (plan.times_per_day - 1):
        raise BadInput(
            f"{plan.times_per_day} reminders need an hour between them: widen the"
            " window or lower the times a day.",
            field="times_per_day",
        )


def _check_range(item: ItemPlan, position: int) -> None:
    low, high = item.hold_low, item.hold_high
    if low is None and high is None:
        return
    field = f"items.{position}.hold_low"
    if item.hold_seconds is None or low is None or high is None:
        raise BadInput("A pre-approved range needs a hold and both ends.", field=field)
    if not 5 <= low <= item.hold_seconds <= high <= 60:
        raise BadInput(
            "The pre-approved hold range lies within 5 to 60 s around the hold.",
            field=field,
        )


def _minutes(at: time) -> int:
    return at.hour * 60 + at.minute
