"""Snoozing: a chain put away until a day, for a reason, by a named person.

It stays the client's one open chain and grows as before. It is back on its day, or
at once when a new reason comes, an old one gets more urgent, or the client says that
it is worse (`alerting.raise_alert`).
"""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from clinic import audit, scope
from clinic.errors import BadInput, Conflict
from clinic.models import Staff
from reminders import alerting, hours
from reminders.logic import snooze as rules
from reminders.models import Alert
from reminders.models import alerts as states


@transaction.atomic
def snooze(
    alert: Alert, until: date, reason: str, *, by: Staff, now: datetime
) -> Alert:
    """Put the chain away until the local day `until`; whoever does it has it.

    Raises Conflict for a resolved chain and for one that must be decided on, and
    BadInput for a day out of reach or no reason.
    """
    alert = alerting.locked(alert)
    if alert.state == states.RESOLVED:
        raise Conflict("This alert is resolved already.")
    if not rules.may_be_put_away(alert.urgency, alerting.open_reasons(alert)):
        raise Conflict(
            "What may be an emergency, or is not understood yet, is not put away:"
            " decide on it."
        )
    reason = reason.strip()
    if not 1 <= len(reason) <= rules.LONGEST_REASON:
        raise BadInput("Say why it can wait, in at most 500 letters.", field="reason")
    try:
        back = rules.back_at(until, now, hours.of(alert.site))
    except ValueError as error:
        raise BadInput(str(error), field="until") from error
    alert.state = states.ACKNOWLEDGED
    alert.acknowledged_by, alert.acknowledged_at = by, now
    alert.snoozed_until, alert.snoozed_by, alert.snooze_reason = back, by, reason
    alert.save()
    actor = f"staff:{by.id}"
    alerting.note(alert, "snoozed", actor=actor, at=now, words=reason)
    audit.record("alert.snoozed", alert, actor=by, at=now, until=until)
    return alert


@transaction.atomic
def bring_back(alert: Alert, *, by: Staff, now: datetime) -> Alert:
    """A person wants it back on the list now; when it is there, nothing changes."""
    alert = alerting.locked(alert)
    if alert.state == states.RESOLVED:
        raise Conflict("This alert is resolved already.")
    if alert.snoozed_until is not None:
        alerting.put_back(alert, actor=by, now=now, why="asked")
        alert.save()
    return alert


def wake_due(now: datetime) -> int:
    """Bring back every chain whose day has come; returns how many."""
    rows = Alert.objects.across("the watch covers every organization").filter(
        state__in=states.UNRESOLVED, snoozed_until__lte=now
    )
    woken = 0
    for row in rows.iterator(chunk_size=200):
        with scope.within(row.organization_id), transaction.atomic():
            alert = alerting.locked(row)
            if alert.snoozed_until is not None and alert.snoozed_until <= now:
                alerting.put_back(alert, actor=audit.SERVICE, now=now, why="day")
                alert.save()
                woken += 1
    return woken
