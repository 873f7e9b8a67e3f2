"""Pages of people and places, and the health answer."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render

from clinic import access, caseload, doors, health, shell
from clinic.errors import NotAllowed
from clinic.forms import ClientSearch


@doors.page("home.view")
def home(request: HttpRequest) -> HttpResponse:
    """Start at the first page that the person's role opens: triage, or clients."""
    can = access.operations_of(request.user)
    for entry in shell.NAVIGATION:
        if entry.operation in can:
            return redirect(entry.url_name)
    raise NotAllowed


@doors.public("load balancers ask without an account; it names no one")
def healthz(request: HttpRequest) -> HttpResponse:
    """Whether the service works, from its rows, not from its processes."""
    report = health.report()
    return JsonResponse(report, status=200 if report["ok"] else 503)


@doors.page("client.list")
def clients(request: HttpRequest) -> HttpResponse:
    """The clients the person may see; a search is posted, a name is no address."""
    rows = access.clients(request.user, "client.list")
    form = ClientSearch(request.POST, sites=access.sites(request.user, "client.list"))
    name, valid = "", form.is_valid()
    if valid:
        name = form.cleaned_data["name"]
        if form.cleaned_data["site"]:
            rows = rows.filter(site=form.cleaned_data["site"])
        if form.cleaned_data["monitoring"]:
            rows = rows.filter(monitoring=form.cleaned_data["monitoring"])
    page = request.POST.get("page", "")
    number = int(page) if page.isdecimal() and len(page) < 6 else 1
    found = caseload.find(rows, name=name, page=number)
    context = {"form": form, "found": found, "searched": request.method == "POST"}
    status = 200 if valid else 400
    return render(request, "clinic/clients.html", context, status=status)
