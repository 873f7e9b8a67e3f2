"""Pages of people and places, and the health answer."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect

from clinic import doors, health


@doors.page("home.view")
def home(request: HttpRequest) -> HttpResponse:
    """Start at the morning triage."""
    return redirect("triage")


@doors.public("load balancers ask without an account; it names no one")
def healthz(request: HttpRequest) -> HttpResponse:
    """Whether the service works, from its rows, not from its processes."""
    report = health.report()
    return JsonResponse(report, status=200 if report["ok"] else 503)
