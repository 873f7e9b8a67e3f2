"""A home program and its starting point as the API's bodies."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from rest_framework import serializers

from clinic.shapes import Choice, Flag, Number, Shape, Text, Whole
from programs import plans
from programs.logic import body
from programs.logic.exercises import DOSE_BOUNDS
from programs.plans import ItemPlan, ProgramPlan, Start

HOLD = DOSE_BOUNDS["hold_seconds"]


def _dose(name: str) -> Whole:
    low, high = DOSE_BOUNDS[name]
    return Whole(min_value=low, max_value=high, allow_null=True, required=False)


class ItemSerializer(Shape):
    """One exercise with its dose a session; a field its kind has not is null.

    `times_per_day` null: in every session. `hold_low` to `hold_high`: the range in
    which the clinician approves a longer hold beforehand.
    """

    exercise = Text(max_length=32)
    hold_seconds = _dose("hold_seconds")
    repetitions = _dose("repetitions")
    sets = _dose("sets")
    duration_minutes = _dose("duration_minutes")
    times_per_day = _dose("times_per_day")
    hold_low = Whole(
        min_value=HOLD[0], max_value=HOLD[1], allow_null=True, required=False
    )
    hold_high = Whole(
        min_value=HOLD[0], max_value=HOLD[1], allow_null=True, required=False
    )


class _Reminded(Shape):
    """What programs and templates share: the exercises and how they are reminded."""

    items = ItemSerializer(many=True, min_length=1, max_length=plans.MAX_ITEMS)
    times_per_day = Whole(min_value=1, max_value=12)
    waking_from = serializers.TimeField(help_text="First reminder, client's time.")
    waking_to = serializers.TimeField(help_text="Last reminder, client's time.")
    stop_rules = serializers.ListField(
        child=Text(max_length=40), max_length=20, help_text="Keys of stop rules."
    )


class PlanSerializer(_Reminded):
    """A client's program: exercises in order, reminders, stop rules, review date."""

    review_on = serializers.DateField()


class TemplatePlanSerializer(_Reminded):
    """A template's program: the review is a number of days after it starts."""

    review_after_days = Whole(min_value=1, max_value=120)


class PrecautionsSerializer(Shape):
    """Each precaution asked, answered yes or no."""

    recent_surgery = Flag()
    fracture_or_osteoporosis = Flag()
    pregnancy = Flag()
    wrist_or_shoulder = Flag()
    lying_prone = Flag()
    dizziness = Flag()


class StartSerializer(Shape):
    """Where the client stands when the program is prescribed: the baseline.

    Reach is the farthest area with pain on a side, empty for none. A lateral shift
    is named by where the shoulders sit.
    """

    pain = Number(min_value=0, max_value=10)
    reach_left = Choice(choices=body.AREAS, allow_blank=True, required=False)
    reach_right = Choice(choices=body.AREAS, allow_blank=True, required=False)
    sensation = Choice(choices=body.SENSATIONS, allow_blank=True, required=False)
    directional_preference = Choice(choices=plans.PREFERENCES)
    lateral_shift = Choice(choices=("left", "right"), allow_blank=True, required=False)
    precautions = PrecautionsSerializer()


class StartingPointSerializer(StartSerializer):
    """The starting point as it was recorded."""

    recorded_at = serializers.DateTimeField()


def plan_of(data: dict[str, Any]) -> ProgramPlan:
    """The checked body as the plan the writers take."""
    values = data | {
        "items": tuple(ItemPlan(**item) for item in data["items"]),
        "stop_rules": tuple(data["stop_rules"]),
    }
    return ProgramPlan(**values)


def template_plan_of(data: dict[str, Any], today: date) -> tuple[ProgramPlan, int]:
    """The plan as if it started today, and after how many days it is reviewed."""
    days = data["review_after_days"]
    rest = {name: value for name, value in data.items() if name != "review_after_days"}
    return plan_of(rest | {"review_on": today + timedelta(days=days)}), days


def start_of(data: dict[str, Any]) -> Start:
    """The checked body as the starting point the writers take."""
    return Start(**data | {"precautions": dict(data["precautions"])})
