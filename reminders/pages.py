"""The morning list, and acknowledging and deciding on it in place."""

from __future__ import annotations

import hashlib
from datetime import datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST
from django_htmx.http import reswap, retarget

from clinic import access, clock, doors
from clinic.errors import BadInput, NotYours
from clinic.models import Client, Site, Staff
from reminders import access as reminder_access
from reminders import alerting, probes, triage
from reminders.cards import Card, PutAway, card, put_away
from reminders.decision_form import DecisionForm
from reminders.logic.when import when
from reminders.models import Alert
from reminders.triage import TriageRow

RESULTS = {
    "reduce": "The next reminder carries the new dose.",
    "progress": "The next reminder carries the new dose.",
    "hold": "Reminders go on with the same doses.",
    "pause": "No reminders until then.",
    "discharge": "The program has ended and no text leaves any more.",
}


@require_GET
@doors.page("triage.view")
def morning_list(request: HttpRequest) -> HttpResponse:
    """Whom to look at, what matters first; asked again by the page every 15 s."""
    staff, now = request.user, clock.now()
    site = _chosen_site(request)
    rows = triage.rows(staff, now, site=site)
    away = put_away(triage.snoozed(staff, now, site=site), now)
    seen = _fingerprint(rows, away, behind := probes.behind_since(now))
    if request.htmx and request.GET.get("seen") == seen:
        return HttpResponse(status=204)
    sites = list(access.sites(staff, "triage.view"))
    context = {
        "cards": _cards(staff, rows, now),
        "count": len(rows),
        "more": len(rows) >= triage.PAGE
        and triage.open_alerts(staff, now, site=site).count() - len(rows),
        "away": away,
        "ready": triage.ready(staff, now),
        "stepped": triage.stepped(staff, now),
        "overdue": sum(row.overdue for row in rows),
        "site": site,
        "sites": sites,
        "seen": seen,
        "behind": behind and when(behind, zone=_zone(site, sites), now=now),
    }
    name = "_triage_list" if request.htmx else "triage"
    return render(request, f"reminders/{name}.html", context)


@require_GET
@doors.page("triage.view")
def alert_card(request: HttpRequest, alert_id: UUID) -> HttpResponse:
    """One card again, after a form on it was left."""
    alert = reminder_access.alert(request.user, alert_id, "triage.view")
    if not request.htmx:
        return redirect("client", alert.client_id)
    return _card_answer(request, alert)


@require_POST
@doors.page("alert.acknowledge")
def acknowledge(request: HttpRequest, alert_id: UUID) -> HttpResponse:
    """The person takes the alert; paging ends."""
    alert = reminder_access.alert(request.user, alert_id, "alert.acknowledge")
    alerting.acknowledge(alert, by=request.user, now=clock.now())
    if request.htmx:
        alert = reminder_access.alert(request.user, alert_id, "alert.acknowledge")
        return _card_answer(request, alert)
    messages.info(request, "Acknowledged: you have it, and paging has ended.")
    return _back(request, alert.client)


@doors.page("alert.decide")
def decide(request: HttpRequest, client_id: UUID) -> HttpResponse:
    """Decide on a client: the form, and what comes of it."""
    client = access.client(request.user, client_id, "alert.decide")
    now = clock.now()
    form = DecisionForm(request.POST or None, client=client, now=now)
    alert = _named_alert(request, client)
    if request.method == "POST" and form.is_valid():
        try:
            return _decided(request, client, form, alert=alert, now=now)
        except BadInput as error:
            form.add_error(error.field if error.field in form.fields else None, error)
    return _form_answer(request, client, form, alert)


def _decided(
    request: HttpRequest,
    client: Client,
    form: DecisionForm,
    *,
    alert: Alert | None,
    now: datetime,
) -> HttpResponse:
    choice = form.choice()
    decision = alerting.decide(client, choice, by=request.user, now=now, alert=alert)
    result = f"Decided: {dict(form.fields['kind'].choices)[decision.kind]}. " + (
        RESULTS.get(decision.kind, "")
    )
    if not request.htmx:
        messages.success(request, result)
        return _back(request, client)
    context = {"client": client, "result": result, "alert": alert, "note": choice.note}
    answer = render(request, "reminders/_decided.html", context)
    return reswap(
        retarget(answer, f"#alert-{alert.id}" if alert else "main"), "outerHTML"
    )


def _form_answer(
    request: HttpRequest, client: Client, form: DecisionForm, alert: Alert | None
) -> HttpResponse:
    context = {
        "client": client,
        "form": form,
        "alert": alert,
        "back": request.POST.get("back") or request.GET.get("back", ""),
        "reasons": _reasons(alert, clock.now()),
    }
    name = "_decide_form" if request.htmx else "decide"
    status = 400 if form.errors else 200
    return render(request, f"reminders/{name}.html", context, status=status)


def _reasons(alert: Alert | None, now: datetime) -> Any:
    if alert is None:
        return ()
    return card(triage.row(alert, now), now, may=frozenset()).reasons


def _named_alert(request: HttpRequest, client: Client) -> Alert | None:
    """The alert the form was opened on: somebody may have resolved it meanwhile."""
    named = request.POST.get("alert") or ""
    if not named:
        return alerting.open_chain(client)
    try:
        alert = reminder_access.alert(request.user, UUID(named), "alert.decide")
    except ValueError as error:
        raise BadInput("Open the form again.") from error
    if alert.client_id != client.id:
        raise NotYours
    return alert


def _card_answer(request: HttpRequest, alert: Alert) -> HttpResponse:
    now = clock.now()
    [shown] = _cards(request.user, [triage.row(alert, now)], now)
    return render(request, "reminders/_card.html", {"card": shown})


def _cards(staff: Staff, rows: list[TriageRow], now: datetime) -> list[Card]:
    held = access.operations_by_site(staff)
    return [card(row, now, may=held(row.alert.site_id)) for row in rows]


def _chosen_site(request: HttpRequest) -> Site | None:
    named = request.GET.get("site", "")
    if not named:
        return None
    try:
        return access.site(request.user, UUID(named), "triage.view")
    except ValueError as error:
        raise NotYours from error


def _zone(site: Site | None, sites: list[Site]) -> ZoneInfo:
    first = site or (sites[0] if sites else None)
    return ZoneInfo(first.time_zone if first else "UTC")


def _fingerprint(
    rows: list[TriageRow], away: list[PutAway], behind: datetime | None
) -> str:
    """Changes when anything shown changes but the clock."""
    shown = [
        (
            row.alert.id,
            row.alert.state,
            row.alert.urgency,
            len(row.alert.reasons),
            row.held,
            row.overdue,
            row.client.monitoring,
            row.last_text.id if row.last_text else None,
        )
        for row in rows
    ]
    shown += [(one.alert.id, one.alert.snoozed_until) for one in away]
    return hashlib.sha256(repr((shown, behind)).encode()).hexdigest()[:16]


def _back(request: HttpRequest, client: Client) -> HttpResponse:
    if request.POST.get("back") == "client":
        return redirect("client", client.id)
    return redirect("triage")
