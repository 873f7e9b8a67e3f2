"""Forms of people and places: they parse and keep what was typed; writers decide."""

from __future__ import annotations

import re
import unicodedata
import zoneinfo
from typing import Any, TypeVar

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict

from clinic.errors import PlumblineError
from clinic.logic.duty_hours import LONGEST as LONGEST_DUTY
from clinic.logic.phone import regions
from clinic.logic.roles import ROLES
from clinic.models import Site
from clinic.models import clients as client_states
from clinic.models.organizations import WEEKDAYS
from clinic.settling import NUMBERS, SiteDetails

LANGUAGE_CHOICES = [("en", "English"), ("es", "Spanish"), ("fr", "French")]
DAYS = (
    *("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"),
    "Sunday",
)
F = TypeVar("F", bound=forms.Form)
_SPAN = re.compile(r"(\d{1,2}:\d{2})\s*(?:-|–|to)\s*(\d{1,2}:\d{2})")


def show(form: forms.Form, error: PlumblineError) -> None:
    """Put a writer's refusal beside the field it names, or above the form."""
    known = error.field in form.fields
    form.add_error(error.field if known else None, str(error))


def kept(form: type[F], data: QueryDict) -> F:
    """A form that shows what was typed without judging it yet."""
    shown: dict[str, Any] = {}
    for name, field in form().fields.items():
        many = isinstance(field, forms.MultipleChoiceField)
        shown[name] = data.getlist(name) if many else data.get(name, "")
    return form(initial=shown)


def refuse_broken_signs(value: str) -> None:
    """Refuse characters that no clinic types: controls and halves of characters.

    A form's bytes are decoded with U+FFFD where they are no UTF-8, as a lone
    surrogate is not; NUL cannot be stored by PostgreSQL.
    """
    for sign in value:
        broken = unicodedata.category(sign) in ("Cc", "Cs")
        if (broken and sign not in "\r\n\t") or sign == "\ufffd":
            raise ValidationError(
                "This holds a sign that cannot be kept: type it again.", code="sign"
            )


class LineField(forms.CharField):
    """One line or more of typed text without broken signs."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**({"max_length": 120} | kwargs))

    def run_validators(self, value: Any) -> None:
        # Ours comes first and says what to do; Django's own speaks of null bytes.
        refuse_broken_signs(value or "")
        super().run_validators(value)


class PhoneField(LineField):
    """A telephone number as people write it."""

    widget = forms.TextInput(attrs={"type": "tel", "autocomplete": "off"})

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**({"max_length": 40} | kwargs))


def zone_field(**kwargs: Any) -> LineField:
    """A time zone, typed with suggestions from the list of id "zones"."""
    return LineField(
        label="Time zone",
        max_length=64,
        help_text="As in America/New_York.",
        widget=forms.TextInput(attrs={"list": "zones", "autocomplete": "off"}),
        **kwargs,
    )


def zones() -> list[str]:
    """The names the time zone fields suggest."""
    return sorted(name for name in zoneinfo.available_timezones() if "/" in name)


class ClientSearch(forms.Form):
    """What the list of clients is narrowed to. Posted: a name is not for addresses."""

    name = LineField(required=False, label="Name holds", max_length=60)
    site = forms.ModelChoiceField(None, required=False, empty_label="Every site")
    monitoring = forms.ChoiceField(
        required=False,
        label="Texts",
        choices=[
            ("", "All"),
            (client_states.PENDING, "First text not answered"),
            (client_states.ACTIVE, "Monitored"),
            (client_states.ENDED, "No longer monitored"),
        ],
    )

    def __init__(self, data: Any, *, sites: Any) -> None:
        super().__init__(data)
        self.fields["site"].queryset = sites  # type: ignore[attr-defined]


class SiteForm(forms.Form):
    """A site's details; the hours are seven lines of spans."""

    name = LineField(label="Name")
    short_name = LineField(
        label="Short name",
        max_length=18,
        help_text="Stands in every text: at most 18 letters.",
    )
    time_zone = zone_field()
    region = forms.ChoiceField(
        label="Country of numbers without +", choices=[(r, r) for r in regions()]
    )
    language = forms.ChoiceField(label="Usual language", choices=LANGUAGE_CHOICES)
    emergency_number = LineField(
        label="Emergency number", max_length=NUMBERS["emergency_number"]
    )
    crisis_line = LineField(label="Crisis line", max_length=NUMBERS["crisis_line"])
    call_back_number = LineField(
        label="Call-back number", max_length=NUMBERS["call_back_number"]
    )
    quiet_from = forms.TimeField(
        label="No texts from", widget=forms.TimeInput({"type": "time"}, "%H:%M")
    )
    quiet_to = forms.TimeField(
        label="No texts until", widget=forms.TimeInput({"type": "time"}, "%H:%M")
    )
    page_wait_minutes = forms.IntegerField(
        label="Minutes until the next person on call is texted"
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for day, name in zip(WEEKDAYS, DAYS, strict=True):
            self.fields[f"hours_{day}"] = LineField(
                label=name, required=False, max_length=80
            )

    @staticmethod
    def of(site: Site) -> dict[str, Any]:
        """The site as initial values."""
        values: dict[str, Any] = {
            name: getattr(site, name) for name in SiteForm.base_fields
        }
        for day in WEEKDAYS:
            spans = site.hours.get(day, [])
            values[f"hours_{day}"] = ", ".join(f"{a}-{b}" for a, b in spans)
        return values

    def hour_fields(self) -> list[Any]:
        """The seven lines of hours, Monday first."""
        return [self[f"hours_{day}"] for day in WEEKDAYS]

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        for day in WEEKDAYS:
            self._read_day(f"hours_{day}", values)
        return values

    def details(self) -> SiteDetails:
        """What was typed, for the writer."""
        values = dict(self.cleaned_data)
        hours = {day: values.pop(f"hours_{day}") for day in WEEKDAYS}
        return SiteDetails(hours=hours, **values)

    def _read_day(self, name: str, values: dict[str, Any]) -> None:
        try:
            values[name] = spans_of(values.get(name, ""))
        except ValueError:
            self.add_error(name, "Write hours as 08:00-12:00, 13:00-18:00, or nothing.")


def spans_of(text: str) -> list[list[str]]:
    """Opening times from "8:00-12:00, 13:00-18:00"; raises ValueError."""
    spans = []
    for piece in filter(None, (part.strip() for part in text.split(","))):
        match = _SPAN.fullmatch(piece)
        if match is None:
            raise ValueError
        spans.append([end.zfill(5) for end in match.groups()])
    return spans


class ClosureForm(forms.Form):
    """A day on which the site is closed."""

    on = forms.DateField(
        label="Closed on", widget=forms.DateInput({"type": "date"}, "%Y-%m-%d")
    )
    note = LineField(label="Note", required=False, max_length=80)


class OnCallRow(forms.Form):
    """One place on the on-call chain."""

    staff = forms.ModelChoiceField(
        None, required=False, label="Person", empty_label="Nobody"
    )
    number = PhoneField(required=False, label="Number")
    hours = LineField(
        required=False,
        label="On duty",
        max_length=LONGEST_DUTY,
        help_text="As in Mon-Fri 18:00-08:00, Sat-Sun 00:00-24:00; empty: always.",
    )

    def __init__(self, *args: Any, people: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["staff"].queryset = people  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        if values.get("staff") and not values.get("number"):
            self.add_error("number", "Give the number that reaches this person.")
        if values.get("number") and not values.get("staff"):
            self.add_error("staff", "Choose the person this number reaches.")
        return values


class StaffForm(forms.Form):
    """A new account."""

    name = LineField(label="Name")
    email = forms.EmailField(
        label="E-mail address", widget=forms.EmailInput({"autocomplete": "off"})
    )
    password = forms.CharField(
        required=False,
        label="First password",
        max_length=128,
        help_text="At least 15 characters; empty: the person sets one by mail, from"
        " “Forgot your password?” on the sign-in page.",
        widget=forms.PasswordInput({"autocomplete": "new-password"}),
    )


class GrantForm(forms.Form):
    """A role on one site, or on all of them."""

    role = forms.ChoiceField(
        # Nothing is chosen beforehand: a role given by a slip opens every record.
        choices=[("", "Choose"), *((r, r.replace("_", " ")) for r in ROLES)]
    )
    site = forms.ModelChoiceField(None, required=False, empty_label="Every site")

    def __init__(self, *args: Any, sites: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["site"].queryset = sites  # type: ignore[attr-defined]


class DeviceForm(forms.Form):
    """A device that is to act for its owner."""

    device = LineField(
        label="Device", max_length=80, help_text="A name to know it by, such as Phone."
    )


class AuditFilter(forms.Form):
    """Which lines of the audit chain are shown."""

    subject = forms.UUIDField(
        required=False,
        label="About",
        error_messages={"invalid": "This is not an id: copy it from a line below."},
    )
    before = forms.IntegerField(required=False, widget=forms.HiddenInput)
