"""The client's side of the demo: plain phones to read and answer, and the clock.

Outside the demo these addresses do not exist.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from functools import wraps
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from clinic import clock, doors
from clinic.errors import BadInput
from clinic.logic.ids import new_id
from clinic.models import Organization
from reminders import gateways, receiving, working
from reminders import phones as shown
from reminders.receiving import Arrival
from reminders.timelapse import TimeLapse

View = Callable[..., HttpResponse]
STEPS = {
    "10m": timedelta(minutes=10),
    "1h": timedelta(hours=1),
    "1d": timedelta(days=1),
}
# Many clients' texts share a step when a whole day passes.
GRID = timedelta(minutes=10)


def demo_only(view: View) -> View:
    """404 before anything else, also before sign-in, outside the demo."""

    @wraps(view)
    def door(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not settings.DEMO:
            raise Http404
        return view(request, *args, **kwargs)

    return door


@demo_only
@require_GET
@doors.page("home.view")
def phones(request: HttpRequest) -> HttpResponse:
    """The phones chosen, or those with the most recent texts."""
    now = clock.now()
    clients = shown.chosen(_ids(request.GET.getlist("client")))
    if request.htmx:
        return _one(request, clients[0].id if clients else None, now)
    context = {
        "phones": [shown.of_client(client, now) for client in clients],
        "staff_phones": shown.on_call(now),
        "others": shown.everyone(),
        "chosen": {client.id for client in clients},
        "most": shown.MOST_PHONES,
        "now": now,
        "next_at": shown.next_reminder_at(now),
    }
    return render(request, "reminders/phones.html", context)


@demo_only
@require_POST
@doors.page("home.view")
def answer(request: HttpRequest) -> HttpResponse:
    """A text written on one of the phones, through the real way in."""
    [client_id] = _ids([request.POST.get("client", "")])
    body = request.POST.get("body", "")
    if not body.strip():
        raise BadInput("Write something on the phone first.", field="body")
    now = clock.now()
    phone = shown.number_of(client_id)
    organization = Organization.objects.get(pk=phone.organization_id)
    receiving.arrive(
        Arrival(
            gateway_id=f"phones-{new_id().hex}",
            from_number=phone.number,
            to_number=organization.sending_number,
            body=body,
        ),
        now,
    )
    working.answer_now(phone, now)
    if request.htmx:
        return _one(request, client_id, clock.now())
    return _back(request)


@demo_only
@require_POST
@doors.page("home.view")
def move_clock(request: HttpRequest) -> HttpResponse:
    """Let time pass: everything that falls due on the way is done as it would be."""
    now = clock.now()
    end = _target(request.POST.get("by", ""), now)
    grid = GRID if end - now > timedelta(hours=2) else timedelta(0)
    TimeLapse(now, gateways.current(), grid=grid).forward(end)
    clock.move_forward(max(end - clock.now(), timedelta(0)))
    return _back(request)


def _target(by: str, now: datetime) -> datetime:
    if by == "next":
        at = shown.next_reminder_at(now)
        if at is None:
            raise BadInput("No text is waiting: nothing falls due.", field="by")
        return at + timedelta(seconds=1)
    if by not in STEPS:
        raise BadInput("Choose one of the steps of the clock.", field="by")
    return now + STEPS[by]


def _one(request: HttpRequest, client_id: UUID | None, now: datetime) -> HttpResponse:
    clients = shown.chosen([client_id]) if client_id else []
    if not clients:
        return HttpResponse(status=204)
    phone = shown.of_client(clients[0], now)
    if request.method == "GET" and request.GET.get("seen") == phone.seen:
        return HttpResponse(status=204)
    name = "_phone_answered" if request.method == "POST" else "_phone_screen"
    return render(request, f"reminders/{name}.html", {"phone": phone})


def _back(request: HttpRequest) -> HttpResponse:
    ids = [("client", str(pk)) for pk in _ids(request.POST.getlist("shown"))]
    return redirect(f"{reverse('phones')}?{urlencode(ids)}")


def _ids(named: list[str]) -> list[UUID]:
    try:
        return [UUID(name) for name in named]
    except ValueError as error:
        raise BadInput("This phone is not known: load the page again.") from error
