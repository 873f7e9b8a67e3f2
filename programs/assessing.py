"""Assessing: load a client's reports, run the rules, keep what came out."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction

from clinic.models import Client
from programs import prescribing, reporting
from programs.logic.assessment import Assessment
from programs.logic.reports import SymptomReport
from programs.logic.response import assess
from programs.models import AssessmentRecord, HomeProgram, SessionReport, StartingPoint

# Every rule looks back at most 14 days; the baseline and the course need more.
WINDOW = timedelta(days=42)


@transaction.atomic
def assess_client(
    client: Client, *, due: Sequence[datetime], now: datetime
) -> tuple[Assessment, AssessmentRecord]:
    """Assess the client as of now and keep the record.

    `due` are the times of reminders that left, for silence and skipping.
    """
    program = prescribing.running(client)
    found = assess(
        reports_of(client, now),
        now=now,
        zone=ZoneInfo(client.time_zone),
        since=program.started_at if program else None,
        due=due,
        baseline=baseline_of(program),
    )
    record = AssessmentRecord.objects.create(
        organization_id=client.organization_id,
        client=client,
        at=now,
        location_trend=found.location_trend,
        pain_trend=found.pain_trend,
        urgency=found.urgency or "",
        reasons=list(found.reasons),
        numbers={name: dict(values) for name, values in found.numbers.items()},
        ready_to_progress=found.ready_to_progress,
        suggestion=None,
    )
    return found, record


def reports_of(client: Client, now: datetime) -> list[SymptomReport]:
    """The client's reports that count, as values, newest window only."""
    rows = SessionReport.objects.filter(
        client=client, voided_at__isnull=True, at__gt=now - WINDOW, at__lte=now
    )
    return [reporting.value_of(row) for row in rows]


def baseline_of(program: HomeProgram | None) -> SymptomReport | None:
    """The starting point as a report: the baseline until five days are known."""
    point = (
        StartingPoint.objects.filter(program=program).first() if program else None
    )
    if point is None:
        return None
    areas: dict[str, str] = {}
    for reach in (point.reach_left, point.reach_right):
        if reach:
            areas[reach] = "present"
    return SymptomReport(
        at=point.recorded_at,
        pain=float(point.pain),
        areas=areas or {"back": "present"},
        side=_side(point),
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
    }


def _side(point: StartingPoint) -> str | None:
    if point.reach_left and point.reach_right:
        return "both"
    if point.reach_left:
        return "left"
    return "right" if point.reach_right else None
