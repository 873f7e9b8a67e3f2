"""Pages of people and places, and the health answer."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect

from clinic import access, doors, health, shell
from clinic.errors import NotAllowed


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
