"""Enrolling a client on one page, and giving a client another number."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from clinic import access, clock, doors
from clinic import enrolling as people_writer
from clinic.errors import Conflict, NotAllowed, PlumblineError
from clinic.forms import PhoneField, show, zones
from clinic.models import Client, Site
from reminders import composing, enrolling
from reminders.enroll_form import EnrollForm, followed
from reminders.logic.wording import Text, TextError


class NumberForm(forms.Form):
    """A client's other number."""

    number = PhoneField(label="New mobile number", help_text="As +1 202 555 0143.")


class ClinicianForm(forms.Form):
    """Who answers for a client."""

    clinician = forms.ModelChoiceField(None, label="Clinician", empty_label=None)

    def __init__(self, *args: Any, people: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["clinician"].queryset = people  # type: ignore[attr-defined]


@doors.page("client.enroll")
def enroll(request: HttpRequest) -> HttpResponse:
    """One page: person, number, clinician, language and words; then the program."""
    sites = access.sites(request.user, "client.enroll")
    if not sites:
        raise NotAllowed
    if request.method != "POST" or request.POST.get("do") == "refresh":
        typed = {name: request.POST.get(name, "") for name in EnrollForm.base_fields}
        first = followed(typed, sites, request.user)
        form = EnrollForm(initial=first, sites=sites)
        return _page(request, form)
    form = EnrollForm(request.POST, sites=sites)
    if form.is_valid():
        client = _enrolled(request, form)
        if client is not None:
            messages.success(request, "Enrolled. The first text is on its way.")
            return redirect(_next_page(request, client), client_id=client.id)
    return _page(request, form, status=400)


@doors.page("client.contact")
def change_number(request: HttpRequest, client_id: UUID) -> HttpResponse:
    """Another number: it gets the first text and must answer it."""
    client = access.client(request.user, client_id, "client.contact")
    form = NumberForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        number = form.cleaned_data["number"]
        try:
            enrolling.change_number(client, number, by=request.user, now=clock.now())
        except PlumblineError as error:
            show(form, _at_number(error))
        else:
            messages.success(request, "Changed. The first text goes to the new number.")
            return redirect("client", client_id=client.id)
    status = 400 if form.is_bound else 200
    context = {"client": client, "form": form}
    return render(request, "reminders/change_number.html", context, status=status)


@doors.page("client.contact")
def change_clinician(request: HttpRequest, client_id: UUID) -> HttpResponse:
    """Hand the client over to another clinician of the site."""
    client = access.client(request.user, client_id, "client.contact")
    people = access.clinicians_of(client.site)
    data = request.POST if request.method == "POST" else None
    form = ClinicianForm(data, people=people, initial={"clinician": client.clinician})
    if form.is_bound and form.is_valid():
        chosen = form.cleaned_data["clinician"]
        people_writer.hand_over(client, chosen, by=request.user, now=clock.now())
        messages.success(request, f"{chosen.name} answers for this client from now on.")
        return redirect("client", client_id=client.id)
    status = 400 if form.is_bound else 200
    context = {"client": client, "form": form}
    return render(request, "reminders/change_clinician.html", context, status=status)


def _enrolled(request: HttpRequest, form: EnrollForm) -> Client | None:
    site, typed = form.cleaned_data["site"], form.cleaned_data
    try:
        if not typed["share"] and enrolling.is_taken(site, typed["number"]):
            form.add_error(
                "number",
                "Another client has this number. Answers from a shared number cannot"
                " be told apart: each goes to a person, and reminders do not start."
                " Ask for another number, or tick below.",
            )
            return None
        return enrolling.enroll(
            site,
            typed["clinician"],
            form.enrollment(),
            by=request.user,
            now=clock.now(),
        )
    except PlumblineError as error:
        show(form, _at_number(error))
        return None


def _at_number(error: PlumblineError) -> PlumblineError:
    """A conflict here is about the number: opted out, or somebody else's."""
    if isinstance(error, Conflict) and error.field is None:
        return Conflict(str(error), field="number")
    return error


def _next_page(request: HttpRequest, client: Client) -> str:
    writes = access.clients(request.user, "program.write").filter(pk=client.pk)
    return "program_new" if writes.exists() else "client"


def _page(request: HttpRequest, form: EnrollForm, status: int = 200) -> HttpResponse:
    asks_again = "number" in form.errors or form["share"].value()
    context: dict[str, Any] = {
        "form": form,
        "zones": zones(),
        "first_text": _first_text(form),
        "share_shown": form.is_bound and asks_again,
    }
    return render(request, "reminders/enroll.html", context, status=status)


def _first_text(form: EnrollForm) -> Text | None:
    """The first text as it will leave, or None while a site's number is missing."""
    wanted = str(form["site"].value() or "")
    site: Site | None = next((o for o in form.sites if str(o.id) == wanted), None)
    if site is None:
        return None
    try:
        return composing.site_text("welcome", site, form["language"].value() or "en")
    except TextError:
        return None
