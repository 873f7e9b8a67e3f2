"""The enrollment form: defaults that follow the site and the language until edited."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import QuerySet

from clinic import access
from clinic.enrolling import Enrollment
from clinic.forms import LANGUAGE_CHOICES, LineField, PhoneField, zone_field
from clinic.models import Site, Staff
from reminders import consent_words


class EnrollForm(forms.Form):
    """One new client. `share` shows only when the number reaches somebody already."""

    site = forms.ModelChoiceField(None, label="Site", empty_label=None)
    name = LineField(label="Client's name")
    number = PhoneField(label="Mobile number", help_text="As +1 202 555 0143.")
    clinician = forms.ModelChoiceField(
        None,
        label="Clinician",
        empty_label="Choose",
        help_text="Answers for this client and gets the alerts.",
    )
    language = forms.ChoiceField(label="Language of texts", choices=LANGUAGE_CHOICES)
    time_zone = zone_field()
    consent_wording = LineField(
        label="Words of consent",
        max_length=2000,
        help_text="Read them to the client and keep them as they were agreed to.",
        widget=forms.Textarea({"rows": 9}),
    )
    share = forms.BooleanField(
        required=False, label="Enroll anyway: two people use this phone"
    )

    def __init__(self, *args: Any, sites: QuerySet[Site], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.sites = sites
        people = Staff.objects.none()
        for site in sites:
            people = people | access.clinicians_of(site)
        self.fields["site"].queryset = sites  # type: ignore[attr-defined]
        self.fields["clinician"].queryset = (  # type: ignore[attr-defined]
            people.distinct().order_by("name")
        )

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        site, clinician = values.get("site"), values.get("clinician")
        if site and clinician and clinician not in access.clinicians_of(site):
            self.add_error("clinician", f"Choose a clinician of {site.name}.")
        self._check_words(values)
        return values

    def enrollment(self) -> Enrollment:
        """What was typed, for the writer."""
        names = ("name", "number", "language", "time_zone", "consent_wording")
        return Enrollment(**{name: self.cleaned_data[name] for name in names})

    def _check_words(self, values: dict[str, Any]) -> None:
        site, language = values.get("site"), values.get("language")
        wording = values.get("consent_wording")
        if not (site and language and wording):
            return
        expected = consent_words.stock(site, language)
        stock = consent_words.is_stock(wording, self.sites)
        if stock and " ".join(wording.split()) != expected:
            self.data = self.data.copy()
            self.data["consent_wording"] = expected
            self.add_error(
                "consent_wording",
                "The words were those of another language or site. Here are the right"
                " ones: read them to the client, then enroll.",
            )


def followed(
    values: dict[str, Any], sites: QuerySet[Site], by: Staff
) -> dict[str, Any]:
    """Typed values with untouched defaults exchanged for the site's and language's.

    A clinician who enrolls is the first guess for the client's own.
    """
    site = next((one for one in sites if str(one.id) == values.get("site")), None)
    site = site or sites.first()
    if site is None:
        return values
    language = values.get("language") or site.language
    changed = {"site": str(site.id), "language": language}
    if values.get("time_zone", "") in ("", *(one.time_zone for one in sites)):
        changed["time_zone"] = site.time_zone
    if consent_words.is_stock(values.get("consent_wording", ""), sites):
        changed["consent_wording"] = consent_words.stock(site, language)
    if not values.get("clinician") and by in access.clinicians_of(site):
        changed["clinician"] = str(by.id)
    return values | changed
