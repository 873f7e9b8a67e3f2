"""Putting an alert away, bringing it back, and the page a text or mail leads to."""

from __future__ import annotations

from datetime import datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from clinic import access as people
from clinic import clock, doors
from clinic.errors import BadInput
from clinic.forms import show
from reminders import access, snoozing, triage
from reminders.cards import card
from reminders.logic.snooze import LONGEST_DAYS, LONGEST_REASON
from reminders.models import Alert


class SnoozeForm(forms.Form):
    """Until which day, and why it can wait."""

    until = forms.DateField(
        label="Back on the list on",
        help_text="From tomorrow to two weeks ahead.",
        widget=forms.DateInput({"type": "date"}, "%Y-%m-%d"),
    )
    reason = forms.CharField(
        label="Why it can wait",
        max_length=LONGEST_REASON,
        widget=forms.Textarea({"rows": 3}),
    )


@doors.page("alert.snooze")
def snooze(request: HttpRequest, alert_id: UUID) -> HttpResponse:
    """Put the alert away until a day, with a reason."""
    alert, now = access.alert(request.user, alert_id, "alert.snooze"), clock.now()
    form = SnoozeForm(request.POST or None)
    form.fields["until"].widget.attrs |= _reach(alert, now)
    if request.method == "POST" and form.is_valid():
        day, reason = form.cleaned_data["until"], form.cleaned_data["reason"]
        try:
            snoozing.snooze(alert, day, reason, by=request.user, now=now)
        except BadInput as error:
            show(form, error)
        else:
            messages.success(request, "Put away. It is back at once if it gets worse.")
            return redirect("triage")
    shown = card(triage.row(alert, now), now, may=frozenset())
    context = {"form": form, "alert": alert, "reasons": shown.reasons}
    status = 400 if form.errors else 200
    return render(request, "reminders/snooze.html", context, status=status)


@require_POST
@doors.page("alert.snooze")
def bring_back(request: HttpRequest, alert_id: UUID) -> HttpResponse:
    """Put the alert back on the list now."""
    alert = access.alert(request.user, alert_id, "alert.snooze")
    snoozing.bring_back(alert, by=request.user, now=clock.now())
    messages.info(request, "Back on the list.")
    return redirect("triage")


@require_GET
@doors.page("triage.view")
def paged(request: HttpRequest, code: str) -> HttpResponse:
    """Where a page to staff leads: the alert, to be acknowledged by a press.

    Opening it acknowledges nothing: mail scanners and previews open links too.
    """
    alert, now = access.paged_alert(request.user, code, "triage.view"), clock.now()
    may = people.operations_by_site(request.user)(alert.site_id)
    shown = card(triage.row(alert, now), now, may=may)
    return render(request, "reminders/paged.html", {"card": shown})


def _reach(alert: Alert, now: datetime) -> dict[str, str]:
    """The first and last day that may be chosen, for the browser's calendar."""
    today = now.astimezone(ZoneInfo(alert.site.time_zone)).date()
    first, last = today + timedelta(days=1), today + timedelta(days=LONGEST_DAYS)
    return {"min": first.isoformat(), "max": last.isoformat()}
