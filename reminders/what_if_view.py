"""The last 14 days of each hold under the rule, from the stored rows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Q

from clinic.models import Client
from programs import assessing, library, prescribing
from programs.logic.guards import LONGEST, SHORTEST, Approval
from programs.logic.what_if import DAYS, Alarm, Past, Span, WhatIfDay
from programs.logic.what_if import what_if as gone_through
from programs.models import HomeProgram, ProgramItem, ProgramRevision
from programs.suggesting import Around, state_of
from reminders import conversation
from reminders.models import Alert, Inbound, Outbound


@dataclass(frozen=True, slots=True)
class WhatIf:
    """One exercise: the range gone through, whether it is the program's, the days."""

    exercise: str
    name: str
    low: int
    high: int
    is_ranged: bool
    days: tuple[WhatIfDay, ...]


def view(client: Client, program: HomeProgram, now: datetime) -> list[WhatIf]:
    """Each exercise with a hold; one without a range as if it might go to 60 s."""
    revisions = list(program.revisions.prefetch_related("items").order_by("number"))
    held = [item for item in revisions[-1].items.all() if item.hold_seconds]
    return [_of_item(client, program, revisions, item, now) for item in held]


def _of_item(
    client: Client,
    program: HomeProgram,
    revisions: list[ProgramRevision],
    item: ProgramItem,
    now: datetime,
) -> WhatIf:
    is_ranged = item.hold_low is not None
    low = item.hold_low if is_ranged else min(SHORTEST, item.hold_seconds)
    high = item.hold_high if is_ranged else LONGEST
    days = gone_through(
        assessing.reports_of(client, now),
        now=now,
        zone=ZoneInfo(client.time_zone),
        plan=state_of(program, Around()),
        approval=Approval(item.exercise, low, high, on=True),
        past=_past(client, program, revisions, item.exercise, now),
        since=program.started_at,
        baseline=assessing.baseline_of(program),
    )
    name = library.load()[item.exercise].text("en").name
    return WhatIf(item.exercise, name, low, high, is_ranged, days)


def _past(
    client: Client,
    program: HomeProgram,
    revisions: list[ProgramRevision],
    exercise: str,
    now: datetime,
) -> Past:
    alerts = Alert.objects.filter(client=client)
    return Past(
        alarms=[
            Alarm(alert.urgency, alert.opened_at, alert.resolved_at) for alert in alerts
        ],
        holds=_holds(revisions, exercise),
        changes=[revision.at for revision in revisions[1:]],
        questions=_questions(client, now),
        still=prescribing.still_spans(program, now),
        due=conversation.reminders_sent(client, now, days=2 * DAYS),
    )


def _holds(
    revisions: list[ProgramRevision], exercise: str
) -> list[tuple[datetime, int]]:
    """The hold from each revision on that changed it."""
    found: list[tuple[datetime, int]] = []
    for revision in revisions:
        for item in revision.items.all():
            hold = item.hold_seconds
            if item.exercise != exercise or not hold:
                continue
            if not found or found[-1][1] != hold:
                found.append((revision.at, hold))
    return found


def _questions(client: Client, now: datetime) -> list[Span]:
    """From when to when a question back or the weekly one was open."""
    asked = Outbound.objects.filter(
        Q(kind__startswith="ask_") | Q(kind="weekly_safety"),
        client=client,
        sent_at__lte=now,
        sent_at__gt=now - timedelta(days=2 * DAYS),
    )
    heard = list(
        Inbound.objects.filter(
            client=client, received_at__gt=now - timedelta(days=2 * DAYS)
        )
        .order_by("received_at")
        .values_list("received_at", flat=True)
    )
    return [
        (at, next((moment for moment in heard if moment > at), None))
        for at in asked.values_list("sent_at", flat=True)
    ]
