"""From rows to the reach chart: reports as dots, what the clinic did as marks."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta, tzinfo

from django.utils.safestring import SafeString, mark_safe

from programs.logic.body import AREAS, LEG, distal_most
from programs.logic.reach_chart import ReachMark, ReachPoint, reach_chart
from programs.models import Decision, ProgramRevision, SessionReport
from reminders.logic.reason_words import label
from reminders.models import Alert

SMALL_DAYS = timedelta(days=14)
# A leg whose level was not said may reach past the buttock, not past a named knee.
FARTHER = (*AREAS[:3], LEG, *AREAS[3:])
DECISION_WORDS = {
    "progress": "progress",
    "hold": "keep as it is",
    "reduce": "reduce",
    "pause": "pause",
    "call": "telephone call",
    "refer": "refer on",
    "discharge": "discharge",
}


def points(reports: Iterable[SessionReport]) -> list[ReachPoint]:
    """Each report as a dot at its distal-most area; voided ones are left out."""
    return [
        ReachPoint(
            at=report.at,
            area=distal_most(report.areas),
            pain=report.pain,
            side=report.side or None,
        )
        for report in reports
        if report.voided_at is None
    ]


def marks(
    revisions: Iterable[ProgramRevision],
    decisions: Iterable[Decision],
    alerts: Iterable[Alert],
) -> list[ReachMark]:
    """What the clinic did, oldest first; a revision its decision names is not twice."""
    decisions = list(decisions)
    named = {decision.revision_id for decision in decisions}
    found = [
        ReachMark(revision.at, revision.reason, "dose")
        for revision in revisions
        if revision.id not in named
    ]
    found += [ReachMark(one.at, _decided(one), "decision") for one in decisions]
    found += [ReachMark(alert.opened_at, _alerted(alert), "alert") for alert in alerts]
    return sorted(found, key=lambda mark: mark.at)


def small(
    found: Iterable[ReachPoint], *, now: datetime, zone: tzinfo, prefix: str
) -> SafeString:
    """The chart of a triage row: its last 14 days, one dot a day.

    Several dots a day would hide each other; the farthest one is shown, because it
    is the one that must not be missed.
    """
    svg = reach_chart(
        farthest_of_days(found, zone),
        start=now - SMALL_DAYS,
        end=now,
        zone=zone,
        size="small",
        prefix=prefix,
    )
    # The chart escapes every word it is given; nothing else enters it.
    return mark_safe(svg)  # noqa: S308


def farthest_of_days(found: Iterable[ReachPoint], zone: tzinfo) -> list[ReachPoint]:
    """Of each local day the farthest report, the strongest of several."""
    days: dict[date, ReachPoint] = {}
    for point in found:
        day = point.at.astimezone(zone).date()
        if day not in days or _distance(point) >= _distance(days[day]):
            days[day] = point
    return list(days.values())


def _distance(point: ReachPoint) -> tuple[int, float]:
    place = FARTHER.index(point.area) if point.area in FARTHER else -1
    return place, point.pain or 0.0


def _decided(decision: Decision) -> str:
    words = DECISION_WORDS.get(decision.kind, decision.kind)
    return f"{words}: {decision.note}" if decision.note else words


def _alerted(alert: Alert) -> str:
    names = dict.fromkeys(label(entry["reason"]) for entry in alert.reasons)
    return ", ".join(names) or alert.urgency
