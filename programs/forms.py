"""Forms of programs and templates: they parse and keep what was typed.

What may be prescribed is decided by the plan's own checks, which the writers ask.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, time, timedelta
from typing import Any

from django import forms

from clinic.forms import LineField
from programs import library, plans
from programs.item_rows import ItemRows
from programs.logic import body
from programs.plans import PRECAUTIONS, ProgramPlan, Start

AREA_WORDS = {
    "back": "back",
    "buttock": "buttock",
    "hip": "hip",
    "thigh": "thigh",
    "knee": "knee",
    "lower_leg": "lower leg (calf or shin)",
    "foot": "foot",
}
AREA_CHOICES = [("", "no pain on this side")] + [
    (area, AREA_WORDS[area]) for area in body.AREAS
]
PRECAUTION_WORDS = {
    "recent_surgery": "Recent surgery?",
    "fracture_or_osteoporosis": "A fracture, or osteoporosis?",
    "pregnancy": "Pregnancy?",
    "wrist_or_shoulder": "Trouble leaning on a wrist or shoulder?",
    "lying_prone": "Trouble lying on the front?",
    "dizziness": "Dizziness?",
}
USUAL_STOP_RULES = ("emergency", "numb_or_weak", "leg_farther", "stays_worse")


def stop_rule_choices() -> list[tuple[str, str]]:
    """The stop rules of the library in English."""
    sentences = library.phrases()["stop_if"]
    return [(key, sentences[key]["en"]) for key in plans.stop_rules()]


def _time_field(label: str) -> forms.TimeField:
    return forms.TimeField(
        label=label, widget=forms.TimeInput({"type": "time"}, "%H:%M")
    )


class PlanForm(forms.Form):
    """How a program is reminded and when to stop; the exercises are rows beside it."""

    times_per_day = forms.IntegerField(
        label="Times a day", help_text="1 to 12, at least an hour apart"
    )
    waking_from = _time_field("First reminder from")
    waking_to = _time_field("Last reminder before")
    stop_rules = forms.MultipleChoiceField(
        label="Stop when",
        required=False,
        choices=stop_rule_choices,
        widget=forms.CheckboxSelectMultiple,
    )

    def values_of_plan(self, rows: ItemRows) -> dict[str, Any]:
        """The plan's values but for its review date."""
        typed = self.cleaned_data
        return {
            "items": rows.items(),
            "times_per_day": typed["times_per_day"],
            "waking_from": typed["waking_from"],
            "waking_to": typed["waking_to"],
            "stop_rules": tuple(typed["stop_rules"]),
        }


class ProgramForm(PlanForm):
    """A client's program; the reason is asked when one runs."""

    review_on = forms.DateField(
        label="Review on", widget=forms.DateInput({"type": "date"}, "%Y-%m-%d")
    )
    reason = LineField(label="Why it changes", required=False, max_length=500)

    def plan(self, rows: ItemRows) -> ProgramPlan:
        """What was typed, for the writer."""
        return ProgramPlan(
            **self.values_of_plan(rows), review_on=self.cleaned_data["review_on"]
        )

    @staticmethod
    def of(plan: ProgramPlan) -> dict[str, Any]:
        """A plan as initial values."""
        names = ("times_per_day", "waking_from", "waking_to", "review_on")
        return {name: getattr(plan, name) for name in names} | {
            "stop_rules": list(plan.stop_rules)
        }

    @staticmethod
    def fresh(today: date) -> dict[str, Any]:
        """Initial values of a program from scratch."""
        return {
            "times_per_day": 5,
            "waking_from": time(8, 0),
            "waking_to": time(20, 30),
            "stop_rules": list(USUAL_STOP_RULES),
            "review_on": today + timedelta(days=3),
        }


class TemplateForm(PlanForm):
    """A template's draft."""

    name = LineField(label="Name", required=False)
    review_after_days = forms.IntegerField(label="Review after, days")
    change_note = LineField(
        label="What changed in this version", required=False, max_length=200
    )

    def plan(self, rows: ItemRows, today: date) -> ProgramPlan:
        """What was typed, as a plan that starts today."""
        days = min(max(self.cleaned_data["review_after_days"], 0), 120)
        review_on = today + timedelta(days=days)
        return ProgramPlan(**self.values_of_plan(rows), review_on=review_on)

    @staticmethod
    def of(content: Mapping[str, Any]) -> dict[str, Any]:
        """A version's content as initial values."""
        return {
            name: content[name]
            for name in (
                *("times_per_day", "waking_from", "waking_to", "stop_rules"),
                "review_after_days",
            )
        }


class StartForm(forms.Form):
    """The starting point: what the clinician found, and the precautions asked."""

    pain = forms.FloatField(label="Pain now, 0 to 10")
    reach_left = forms.ChoiceField(
        label="Farthest on the left", choices=AREA_CHOICES, required=False
    )
    reach_right = forms.ChoiceField(
        label="Farthest on the right", choices=AREA_CHOICES, required=False
    )
    sensation = forms.ChoiceField(
        label="Sensation",
        required=False,
        choices=[("", "as usual"), *((one, one) for one in body.SENSATIONS)],
    )
    directional_preference = forms.ChoiceField(
        label="Directional preference",
        choices=[
            ("extension", "extension"),
            ("lateral", "lateral"),
            ("flexion", "flexion"),
            ("none", "none found"),
        ],
    )
    lateral_shift = forms.ChoiceField(
        label="Lateral shift, by where the shoulders sit",
        required=False,
        choices=[("", "none"), ("left", "left"), ("right", "right")],
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in PRECAUTIONS:
            self.fields[f"asked_{name}"] = forms.ChoiceField(
                label=PRECAUTION_WORDS[name],
                choices=[("no", "No"), ("yes", "Yes")],
                widget=forms.RadioSelect,
                error_messages={"required": "Ask, and answer yes or no."},
            )

    def precaution_fields(self) -> list[Any]:
        """The questions, in their order."""
        return [self[f"asked_{name}"] for name in PRECAUTIONS]

    def start(self) -> Start:
        """What was typed, for the writer."""
        values = dict(self.cleaned_data)
        asked = {name: values.pop(f"asked_{name}") == "yes" for name in PRECAUTIONS}
        return Start(precautions=asked, **values)


class PauseForm(forms.Form):
    """A pause, until a day or until somebody goes on."""

    until = forms.DateField(
        label="Last day of the pause",
        required=False,
        help_text="Empty: until somebody lets it go on.",
        widget=forms.DateInput({"type": "date"}, "%Y-%m-%d"),
    )
