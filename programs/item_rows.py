"""The exercises of a plan as rows of a form: kept, typed, rearranged, read.

Each row shows the dose fields of its exercise's kind, and any other field that holds
a value, so that editing a plan loses nothing.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from django import forms

from clinic.errors import BadInput, PlumblineError
from programs import library, plans
from programs.logic.exercises import KIND_FIELDS, Exercise
from programs.plans import ItemPlan

MOST_ROWS = 12
FIELDS = (
    *("hold_seconds", "repetitions", "sets", "duration_minutes", "times_per_day"),
    *("hold_low", "hold_high"),
)
_LABELS = {
    "hold_seconds": ("Hold, seconds", "1 to 300; commonly 5 to 60"),
    "repetitions": ("Repetitions", "1 to 50"),
    "sets": ("Sets", "1 to 10"),
    "duration_minutes": ("Minutes", "1 to 120"),
    "times_per_day": ("Times a day", "empty: in every session"),
    "hold_low": ("Hold may go down to, seconds", "pre-approved range, 5 to 60"),
    "hold_high": ("Hold may go up to, seconds", "empty: no range"),
}
_WHERE = re.compile(r"items\.(\d+)\.(\w+)")


class ItemForm(forms.Form):
    """One exercise with its dose. Limits are the plan's own, so one place says them."""

    exercise = forms.CharField(widget=forms.HiddenInput)

    def __init__(self, exercise: Exercise, values: Mapping[str, Any], **kwargs: Any):
        super().__init__(**kwargs)
        self.about = exercise
        self.names = {code: text.name for code, text in exercise.texts.items()}
        shown = set(KIND_FIELDS[exercise.kind]) | {n for n in FIELDS if values.get(n)}
        if "hold_seconds" in shown:
            shown |= {"hold_low", "hold_high"}
        for name in (one for one in FIELDS if one in shown):
            label, hint = _LABELS[name]
            field = forms.IntegerField(required=False, label=label, help_text=hint)
            field.widget.attrs["inputmode"] = "numeric"
            self.fields[name] = field

    def plan(self) -> ItemPlan:
        """What was typed, for the plan's own check."""
        return ItemPlan(**self.cleaned_data)


class ItemRows:
    """The rows in order; `error` is what concerns the list as a whole."""

    def __init__(self, values: Sequence[Mapping[str, Any]], *, bound: bool) -> None:
        self.values = list(values[:MOST_ROWS])
        self.bound = bound
        self.error = ""
        self._build()

    @classmethod
    def kept(cls, items: Sequence[ItemPlan]) -> ItemRows:
        """The items of a plan."""
        return cls([_stated(item) for item in items], bound=False)

    @classmethod
    def typed(cls, data: Mapping[str, str]) -> ItemRows:
        """The rows as they were posted; an exercise nobody knows is left out."""
        values, unknown = [], False
        for index in range(MOST_ROWS):
            code = data.get(f"items-{index}-exercise")
            if code is None:
                continue
            row = {name: data.get(f"items-{index}-{name}", "") for name in FIELDS}
            unknown |= code not in library.load()
            if code in library.load():
                values.append({"exercise": code} | row)
        rows = cls(values, bound=True)
        rows.error = "An exercise is not in the library." if unknown else ""
        return rows

    def rearrange(self, act: str, data: Mapping[str, str]) -> bool:
        """Carry out "add", "up-1" or "remove-0"; False when it is none of these."""
        verb, _, place = act.partition("-")
        index = int(place) if place.isdecimal() and len(place) < 3 else -1
        if verb == "add":
            self._add(data.get("add_exercise", ""))
        elif verb == "remove" and 0 <= index < len(self.values):
            del self.values[index]
        elif verb == "up" and 0 < index < len(self.values):
            pair = slice(index - 1, index + 1)
            self.values[pair] = reversed(self.values[pair])
        else:
            return False
        self.bound = False
        self._build()
        return True

    def is_valid(self) -> bool:
        """Whether every row can be read."""
        return all([row.is_valid() for row in self.rows]) and not self.error

    def items(self) -> tuple[ItemPlan, ...]:
        """The items as typed; for rows that can be read."""
        return tuple(row.plan() for row in self.rows)

    def check(self, times_per_day: int) -> bool:
        """Ask the plan's check of every row at once, so that all faults show."""
        for position, item in enumerate(self.items()):
            try:
                plans.checked_item(item, times_per_day, position)
            except BadInput as error:
                self.show(error)
        return not any(row.errors for row in self.rows)

    def show(self, error: PlumblineError) -> bool:
        """Put a refusal beside its row; False when it concerns no item."""
        where = _WHERE.fullmatch(error.field or "")
        if where and int(where[1]) < len(self.rows):
            row = self.rows[int(where[1])]
            known = where[2] in row.fields and where[2] != "exercise"
            # The box around the row names the exercise already.
            words = str(error).removeprefix(f"{row.names['en']}: ")
            row.add_error(where[2] if known else None, words)
        elif error.field == "items":
            self.error = str(error)
        else:
            return False
        return True

    def _add(self, code: str) -> None:
        exercise = library.load().get(code)
        if exercise is None:
            self.error = "Choose an exercise to add."
        elif any(row["exercise"] == code for row in self.values):
            self.error = f"{exercise.text('en').name} is in the program already."
        else:
            usual = exercise.dose.stated()
            del usual["times_per_day"]
            self.values = [*self.values, {"exercise": code} | usual][:MOST_ROWS]

    def _build(self) -> None:
        self.rows = [self._row(index) for index in range(len(self.values))]

    def _row(self, index: int) -> ItemForm:
        prefix, values = f"items-{index}", self.values[index]
        exercise = library.load()[values["exercise"]]
        if self.bound:
            data = {f"{prefix}-{name}": value for name, value in values.items()}
            return ItemForm(exercise, values, data=data, prefix=prefix)
        return ItemForm(exercise, values, initial=values, prefix=prefix)


def _stated(item: ItemPlan) -> dict[str, Any]:
    return {name: value for name, value in asdict(item).items() if value is not None}
