"""People of the organization: accounts, roles on sites, closing an account."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from clinic import access, clock, doors, staffing
from clinic.errors import PlumblineError
from clinic.forms import GrantForm, StaffForm, show
from clinic.models import Staff


@doors.page("staff.view")
def staff_list(request: HttpRequest) -> HttpResponse:
    """Everybody with their roles; owners add people here."""
    return _list_page(request, StaffForm())


@require_POST
@doors.page("staff.edit")
def staff_add(request: HttpRequest) -> HttpResponse:
    """Make an account; roles are given on the person's own page."""
    form = StaffForm(request.POST)
    if form.is_valid():
        values = form.cleaned_data
        try:
            added = staffing.add_staff(
                request.user.organization,
                email=values["email"],
                name=values["name"],
                password=values["password"] or None,
                by=request.user,
                now=clock.now(),
            )
        except PlumblineError as error:
            show(form, error)
        else:
            messages.success(request, "The account is made. Give it a role next.")
            return redirect("staff_member", staff_id=added.id)
    return _list_page(request, form, status=400)


@doors.page("staff.view")
def staff_member(request: HttpRequest, staff_id: UUID) -> HttpResponse:
    """One person: roles, devices, account."""
    person = access.colleague(request.user, staff_id, "staff.view")
    return _person_page(request, person)


@require_POST
@doors.page("staff.edit")
def staff_grant(request: HttpRequest, staff_id: UUID) -> HttpResponse:
    """Give a role."""
    person = access.colleague(request.user, staff_id, "staff.edit")
    form = GrantForm(request.POST, sites=access.sites(request.user, "staff.edit"))
    if not form.is_valid():
        return _person_page(request, person, form, status=400)
    staffing.grant(
        person,
        form.cleaned_data["role"],
        form.cleaned_data["site"],
        by=request.user,
        now=clock.now(),
    )
    messages.success(request, "The role is given.")
    return redirect("staff_member", staff_id=person.id)


@require_POST
@doors.page("staff.edit")
def staff_revoke(request: HttpRequest, grant_id: UUID) -> HttpResponse:
    """Take a role away."""
    grant = access.grant(request.user, grant_id, "staff.edit")
    person = grant.staff
    staffing.revoke(grant, by=request.user, now=clock.now())
    messages.success(request, "The role is taken away.")
    return redirect("staff_member", staff_id=person.id)


@require_POST
@doors.page("staff.edit")
def staff_deactivate(request: HttpRequest, staff_id: UUID) -> HttpResponse:
    """Close the account and its devices."""
    person = access.colleague(request.user, staff_id, "staff.edit")
    staffing.deactivate(person, by=request.user, now=clock.now())
    messages.success(request, "The account is closed.")
    return redirect("staff_member", staff_id=person.id)


def _list_page(
    request: HttpRequest, form: StaffForm, status: int = 200
) -> HttpResponse:
    people = access.colleagues(request.user, "staff.view")
    context = {
        "people": people.prefetch_related("grants__site"),
        "form": form,
        "may_edit": access.may(request.user, "staff.edit"),
    }
    return render(request, "clinic/staff.html", context, status=status)


def _person_page(
    request: HttpRequest, person: Staff, form: Any = None, status: int = 200
) -> HttpResponse:
    sites = access.sites(request.user, "staff.edit")
    context = {
        "person": person,
        "grants": person.grants.select_related("site").order_by("role", "site__name"),
        "form": form or GrantForm(sites=sites),
        "may_edit": access.may(request.user, "staff.edit"),
        "on_call": access.on_call_sites(person),
        "clients": access.caseload(person).count(),
    }
    return render(request, "clinic/staff_member.html", context, status=status)
