"""Sites: the list, and one site with its hours, numbers, closures and on-call chain."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from clinic import access, clock, doors, settling
from clinic.errors import PlumblineError
from clinic.forms import ClosureForm, SiteForm, show, zones
from clinic.models import Site
from clinic.on_call_rows import OnCallRows


@doors.page("site.view")
def sites(request: HttpRequest) -> HttpResponse:
    """The sites the person may see, with what clients' texts name."""
    rows = access.sites(request.user, "site.view").prefetch_related("on_call__staff")
    everywhere = access.has_everywhere(request.user, "site.edit")
    return render(request, "clinic/sites.html", {"sites": rows, "may_open": everywhere})


@doors.page("site.edit")
def site_new(request: HttpRequest) -> HttpResponse:
    """Open a site; for people who hold the operation on every site."""
    access.require_everywhere(request.user, "site.edit")
    first = {"quiet_from": "21:00", "quiet_to": "08:00", "page_wait_minutes": 10}
    form = SiteForm(request.POST or None, initial=first | {"region": "US"})
    if request.method == "POST" and form.is_valid():
        try:
            site = settling.open_site(
                request.user.organization,
                form.details(),
                by=request.user,
                now=clock.now(),
            )
        except PlumblineError as error:
            show(form, error)
        else:
            messages.success(request, "The site is open. Set its on-call chain next.")
            return redirect("site", site_id=site.id)
    return _answer(request, "clinic/site_new.html", form, {})


@doors.page("site.view")
def site(request: HttpRequest, site_id: UUID) -> HttpResponse:
    """One site; its forms for people who may change it."""
    row = access.site(request.user, site_id, "site.view")
    return _site_page(request, row)


@require_POST
@doors.page("site.edit")
def site_details(request: HttpRequest, site_id: UUID) -> HttpResponse:
    """Change the site's details."""
    row = access.site(request.user, site_id, "site.edit")
    form = SiteForm(request.POST)
    if form.is_valid():
        try:
            settling.change_site(row, form.details(), by=request.user, now=clock.now())
        except PlumblineError as error:
            show(form, error)
            row.refresh_from_db()
        else:
            messages.success(request, "Saved. Texts name the new details from now on.")
            return redirect("site", site_id=row.id)
    return _site_page(request, row, details=form)


@require_POST
@doors.page("site.edit")
def closure_add(request: HttpRequest, site_id: UUID) -> HttpResponse:
    """Close the site on a day."""
    row = access.site(request.user, site_id, "site.edit")
    form = ClosureForm(request.POST)
    if not form.is_valid():
        return _site_page(request, row, closure=form)
    day, note = form.cleaned_data["on"], form.cleaned_data["note"]
    settling.close_on(row, day, note, by=request.user, now=clock.now())
    messages.success(request, f"Closed on {day:%B} {day.day}, {day.year}.")
    return redirect("site", site_id=row.id)


@require_POST
@doors.page("site.edit")
def closure_remove(request: HttpRequest, site_id: UUID) -> HttpResponse:
    """Take a closure back."""
    row = access.site(request.user, site_id, "site.edit")
    form = ClosureForm(request.POST)
    if not form.is_valid():
        return _site_page(request, row, closure=form)
    day = form.cleaned_data["on"]
    settling.reopen_on(row, day, by=request.user, now=clock.now())
    messages.success(request, f"Open again on {day:%B} {day.day}, {day.year}.")
    return redirect("site", site_id=row.id)


@require_POST
@doors.page("site.edit")
def on_call(request: HttpRequest, site_id: UUID) -> HttpResponse:
    """Reorder, add to, take from or save the on-call chain."""
    row = access.site(request.user, site_id, "site.edit")
    rows = OnCallRows.typed(row, request.POST)
    if rows.rearrange(request.POST.get("do", "")):
        return _site_page(request, row, chain=rows, status=200)
    if rows.is_valid():
        try:
            settling.set_on_call(
                row,
                rows.chain(),
                hours=rows.hours(),
                by=request.user,
                now=clock.now(),
            )
        except PlumblineError as error:
            rows.show(error)
        else:
            messages.success(request, "The on-call chain is saved.")
            return redirect("site", site_id=row.id)
    return _site_page(request, row, chain=rows)


def _site_page(
    request: HttpRequest,
    row: Site,
    *,
    details: SiteForm | None = None,
    closure: ClosureForm | None = None,
    chain: OnCallRows | None = None,
    status: int | None = None,
) -> HttpResponse:
    may_edit = access.sites(request.user, "site.edit").filter(pk=row.pk).exists()
    wrong = details or closure or chain
    context = {
        "site": row,
        "may_edit": may_edit,
        "form": details or SiteForm(initial=SiteForm.of(row)),
        "closure": closure or ClosureForm(prefix=None),
        "closures": row.closures.order_by("on"),
        "chain": chain or OnCallRows.kept(row),
        "zones": zones(),
    }
    code = status or (400 if wrong else 200)
    return render(request, "clinic/site.html", context, status=code)


def _answer(
    request: HttpRequest, template: str, form: Any, context: dict[str, Any]
) -> HttpResponse:
    status = 400 if form.is_bound else 200
    context |= {"form": form, "zones": zones()}
    return render(request, template, context, status=status)
