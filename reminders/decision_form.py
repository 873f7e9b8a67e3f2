"""The form of a decision: kind, one-step plans of the running program, note, day."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django import forms

from clinic.models import Client
from programs import plans, prescribing
from programs.deciding import Choice
from programs.steps import Step, steps_down, steps_up
from reminders import alerting, responding

KINDS = (
    ("hold", "Keep the program as it is"),
    ("reduce", "Reduce: ask for less"),
    ("progress", "Progress: ask for more"),
    ("pause", "Pause the reminders"),
    ("call", "I telephoned or will telephone the client"),
    ("refer", "Refer on"),
    ("discharge", "Discharge: end program and texts"),
)
NEEDS_PROGRAM = ("hold", "reduce", "progress", "pause")


class DecisionForm(forms.Form):
    """Parses a decision; whether it may be carried out is the writer's word."""

    kind = forms.ChoiceField(choices=KINDS, widget=forms.RadioSelect, label="Decision")
    down = forms.ChoiceField(
        required=False, widget=forms.RadioSelect, label="Reduce by"
    )
    up = forms.ChoiceField(
        required=False, widget=forms.RadioSelect, label="Progress by"
    )
    until = forms.DateField(
        required=False,
        label="Pause until",
        help_text="The last day without reminders; empty: until somebody goes on.",
        widget=forms.DateInput(attrs={"type": "date"}),
    )
    note = forms.CharField(
        required=False,
        max_length=2000,
        label="Note",
        help_text="Why, for colleagues. It is kept, and never texted.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(
        self, *args: Any, client: Client, now: datetime, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.steps = _steps(client, now)
        found = self.steps.values()
        self.set_choices("down", [(s.code, s.label) for s in found if s.asks_less])
        self.set_choices("up", [(s.code, s.label) for s in found if not s.asks_less])
        if not self.steps:
            self.set_choices("kind", [k for k in KINDS if k[0] not in NEEDS_PROGRAM])

    def set_choices(self, name: str, choices: list[tuple[str, str]]) -> None:
        """Narrow a field to what this client's program allows."""
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)
        field.choices = choices

    def clean(self) -> dict[str, Any]:
        """A decision that changes a dose names the change."""
        values: dict[str, Any] = super().clean() or {}
        for kind, field in (("reduce", "down"), ("progress", "up")):
            missing = values.get("kind") == kind and not values.get(field)
            if missing and field not in self.errors:
                self.add_error(field, "Choose one step, or edit the program.")
        return values

    def choice(self) -> Choice:
        """What the clinician chose, for the writer."""
        values = self.cleaned_data
        kind = values["kind"]
        code = {"reduce": values["down"], "progress": values["up"]}.get(kind)
        until: date | None = values["until"] if kind == "pause" else None
        plan = self.steps[code].plan if code else None
        return Choice(kind, note=values["note"], plan=plan, until=until)


def _steps(client: Client, now: datetime) -> dict[str, Step]:
    program = prescribing.running(client)
    if program is None:
        return {}
    plan = plans.of_revision(prescribing.current_revision(program))
    today = prescribing.local_day(client, now)
    alert = alerting.open_chain(client)
    last = (alert.exercise if alert else "") or responding.last_added_exercise(client)
    down = steps_down(plan, today=today, last_added=last)
    fewer = {step.code: step for step in down}
    more = {step.code: step for step in steps_up(plan, today=today)}
    return fewer | more
