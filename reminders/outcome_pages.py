"""Outcome measures of one client: their course, typing answers, asking by text."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from clinic import access, clock, doors
from clinic.errors import BadInput, Conflict, NotYours, PlumblineError
from clinic.models import Client
from programs import measuring, questions
from programs.logic.outcomes import rmdq
from programs.logic.outcomes.measures import MEASURES
from reminders import access as reminder_access
from reminders import asking, outcome_form, outcome_view

NOON = time(12, 0)


@require_http_methods(["GET", "HEAD", "POST"])
@doors.page("client.read_symptoms")
def outcome(request: HttpRequest, client_id: UUID, measure: str) -> HttpResponse:
    """The course of one measure and its form; a refusal keeps what was typed."""
    if request.method == "POST":
        return _record(request, client_id, measure)
    client = access.client(request.user, client_id, "client.read_symptoms")
    return _page(request, client, measure)


@require_POST
@doors.page("outcome.write")
def ask(request: HttpRequest, client_id: UUID, measure: str) -> HttpResponse:
    """Text the client a page of the measure."""
    client = access.client(request.user, client_id, "outcome.write")
    asking.ask_by_text(client, _known(measure), by=request.user, now=clock.now())
    messages.success(request, "The text with the page is on its way.")
    return redirect("client_outcome", client.id, measure)


@require_POST
@doors.page("outcome.write")
def void(request: HttpRequest, client_id: UUID, outcome_id: UUID) -> HttpResponse:
    """Take an answer out of the course, with a reason."""
    row = reminder_access.outcome(request.user, client_id, outcome_id, "outcome.write")
    reason = request.POST.get("reason", "")
    measuring.void(row, reason=reason, by=request.user, now=clock.now())
    messages.success(request, "The answer no longer counts; it stays on the record.")
    return redirect("client_outcome", client_id, row.measure)


def _record(request: HttpRequest, client_id: UUID, measure: str) -> HttpResponse:
    client = access.client(request.user, client_id, "outcome.write")
    now = clock.now()
    try:
        asking.recorded(
            client,
            _known(measure),
            outcome_form.typed(measure, request.POST),
            at=_moment(request.POST.get("day", ""), client, now),
            key=_key(request),
            by=request.user,
            now=now,
        )
    except (BadInput, Conflict) as error:
        return _page(request, client, measure, refused=error)
    messages.success(request, "Recorded.")
    return redirect("client_outcome", client.id, measure)


def _page(
    request: HttpRequest,
    client: Client,
    measure: str,
    refused: PlumblineError | None = None,
) -> HttpResponse:
    now = clock.now()
    zone = ZoneInfo(client.time_zone)
    given = request.POST if refused else None
    context: dict[str, Any] = {
        "client": client,
        "view": outcome_view.of_measure(client, _known(measure), now),
        "others": [one for code, one in MEASURES.items() if code != measure],
        "may": access.operations_by_site(request.user)(client.site_id),
        "zone": zone,
        "today": now.astimezone(zone).date(),
        "day": request.POST.get("day", "") if refused else "",
        "key": request.POST.get("key", "") if refused else measuring.new_key(),
        "given": given,
        "refused": refused,
    }
    if measure == "psfs":
        context["rows"] = outcome_form.rows(questions.activities(client), given)
    if measure == "rmdq" and client.language in rmdq.RMDQ.by_link:
        context["statements"] = outcome_form.statements(given)
        context["none"] = rmdq.NONE
    status = refused.status if refused else 200
    return render(request, "reminders/outcome.html", context, status=status)


def _known(measure: str) -> str:
    if measure not in MEASURES:
        raise NotYours
    return measure


def _key(request: HttpRequest) -> str:
    """The key the form was shown with, so that a double click is one answer."""
    try:
        return str(UUID(request.POST.get("key", "")))
    except ValueError:
        return measuring.new_key()


def _moment(typed: str, client: Client, now: datetime) -> datetime:
    """Now for today; noon of the client's day for an earlier one."""
    zone = ZoneInfo(client.time_zone)
    today = now.astimezone(zone).date()
    if not typed:
        return now
    try:
        day = date.fromisoformat(typed)
    except ValueError as error:
        raise BadInput("Give the day as a date.", field="day") from error
    if day > today:
        raise BadInput("An answer cannot lie in the future.", field="day")
    if day < today - timedelta(days=3650):
        raise BadInput("Give a day of the last ten years.", field="day")
    return now if day == today else datetime.combine(day, NOON, zone)
