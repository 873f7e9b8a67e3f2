"""Assessing: load a client's reports, run the rules, keep what came out."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any, TypedDict
from zoneinfo import ZoneInfo

from django.db import transaction

from clinic.models import Client
from programs import considering, prescribing, reporting
from programs.logic.assessment import Assessment
from programs.logic.history import History, prepare
from programs.logic.reports import SymptomReport
from programs.logic.response import assess
from programs.models import AssessmentRecord, HomeProgram, SessionReport, StartingPoint
from programs.suggesting import Around, suggestion_for

# Every rule looks back at most 14 days; the baseline and the course need more.
WINDOW = timedelta(days=42)


@transaction.atomic
def assess_client(
    client: Client,
    *,
    due: Sequence[datetime],
    now: datetime,
    around: Around | None = None,
) -> tuple[Assessment, AssessmentRecord]:
    """Assess the client as of now and keep the record with its suggestion.

    `due` are the times of reminders that left, for silence and skipping.
    """
    program = prescribing.running(client)
    known = _known(client, program, due=due, now=now)
    reports = reports_of(client, now)
    found = assess(reports, **known)
    history = prepare(reports, **known)
    suggestion = suggestion_for(program, found, history, around or Around())
    if program is not None:
        considering.keep(program, suggestion, now=now)
    return found, _kept(client, found, suggestion, now)


def course_of(
    client: Client, *, due: Sequence[datetime], now: datetime
) -> tuple[Assessment, History]:
    """The assessment at `now` and the reports behind it; nothing is kept."""
    program = prescribing.running(client)
    known = _known(client, program, due=due, now=now)
    reports = reports_of(client, now)
    return assess(reports, **known), prepare(reports, **known)


def as_of(client: Client, *, due: Sequence[datetime], now: datetime) -> Assessment:
    """What the assessment is at `now`; nothing is kept."""
    program = prescribing.running(client)
    known = _known(client, program, due=due, now=now)
    return assess(reports_of(client, now), **known)


class _Known(TypedDict):
    now: datetime
    zone: ZoneInfo
    since: datetime | None
    due: Sequence[datetime]
    baseline: Sequence[SymptomReport]


def _known(
    client: Client,
    program: HomeProgram | None,
    *,
    due: Sequence[datetime],
    now: datetime,
) -> _Known:
    return {
        "now": now,
        "zone": ZoneInfo(client.time_zone),
        "since": program.started_at if program else None,
        "due": due,
        "baseline": baseline_of(program),
    }


def _kept(
    client: Client,
    found: Assessment,
    suggestion: dict[str, Any] | None,
    now: datetime,
) -> AssessmentRecord:
    return AssessmentRecord.objects.create(
        organization_id=client.organization_id,
        client=client,
        at=now,
        location_trend=found.location_trend,
        pain_trend=found.pain_trend,
        urgency=found.urgency or "",
        reasons=list(found.reasons),
        numbers={name: dict(values) for name, values in found.numbers.items()},
        ready_to_progress=found.ready_to_progress,
        suggestion=suggestion,
    )


def reports_of(client: Client, now: datetime) -> list[SymptomReport]:
    """The client's reports that count, as values, newest window only."""
    rows = SessionReport.objects.filter(
        client=client, voided_at__isnull=True, at__gt=now - WINDOW, at__lte=now
    )
    return [reporting.value_of(row) for row in rows]


def baseline_of(program: HomeProgram | None) -> tuple[SymptomReport, ...]:
    """The starting point as reports, one a side: the baseline until five days exist.

    One a side, because a nearer leg read together with a farther one would seem to
    start too deep, and its spreading would be missed.
    """
    point = StartingPoint.objects.filter(program=program).first() if program else None
    if point is None:
        return ()
    reaches = {"left": point.reach_left, "right": point.reach_right}
    sides: dict[str | None, str] = {side: at for side, at in reaches.items() if at}
    return tuple(
        SymptomReport(
            at=point.recorded_at,
            pain=float(point.pain),
            areas={reach: "present"},
            side=side,
        )
        for side, reach in (sides or {None: "back"}).items()
    )


def to_json(found: Assessment) -> dict[str, Any]:
    """An assessment as JSON-ready values, in contract order."""
    return {
        "location_trend": found.location_trend,
        "pain_trend": found.pain_trend,
        "urgency": found.urgency,
        "reasons": list(found.reasons),
        "numbers": {name: dict(values) for name, values in found.numbers.items()},
        "ready_to_progress": found.ready_to_progress,
        "missing": list(found.missing),
    }
