"""Alarms of our engine and of three simple rules, on the same reports.

A rule takes a client and returns its alarms in time order, one a reply at most per
reason; how alarms make episodes is the scoring's business.
"""

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from statistics import median

from programs.logic.course import Course
from programs.logic.reach import zone_of
from programs.logic.reports import SymptomReport
from tests.bench.cohort.clients import ZONE, Client, World

SPREADING, PAIN_UP, SILENT = "spreading", "pain_up", "silent"
WATCHED = (SPREADING, PAIN_UP)
_USUAL = timedelta(days=5)
_LATE_SHARE, _LATEST_HOURS = 0.2, 24.0


@dataclass(frozen=True, slots=True)
class Alarm:
    """A reason that held when a reply was assessed, and how soon it wants somebody."""

    at: datetime
    reason: str
    urgency: str


Rule = Callable[[Client, World], list[Alarm]]


def ours(client: Client, world: World) -> list[Alarm]:
    """The engine, asked at every reply as it arrives, silence at 48 and 72 h."""
    course = Course(zone=ZONE, since=client.since, baseline=client.start)
    alarms: list[Alarm] = []
    arrivals = arriving(client, world)
    for place, (at, report) in enumerate(arrivals):
        course.take(report)
        found = course.assess(now=at)
        alarms += [
            Alarm(at, reason, found.urgency or "")
            for reason in WATCHED
            if reason in found.reasons
        ]
        until = arrivals[place + 1][0] if place + 1 < len(arrivals) else client.end
        alarms += _silences(course, at, until, client)
    return alarms


def _silences(
    course: Course, heard: datetime, until: datetime, client: Client
) -> list[Alarm]:
    """Silence as the watch would find it when its hours are over."""
    found = []
    for hours in (48, 72):
        at = heard + timedelta(hours=hours)
        if (
            at < until
            and SILENT in (says := course.assess(now=at, due=client.due)).reasons
        ):
            found.append(Alarm(at, SILENT, says.urgency or ""))
    return found


def arriving(client: Client, world: World) -> list[tuple[datetime, SymptomReport]]:
    """Return the reports as they arrive; shuffled worlds hold some back and repeat."""
    if not world.shuffled:
        return [(report.at, report) for report in client.reports]
    rng = random.Random(f"arrival/{client.reports[0].at if client.reports else 0}")
    arrivals = []
    for report in client.reports:
        late = rng.random() < _LATE_SHARE
        at = report.at + timedelta(hours=rng.uniform(0, _LATEST_HOURS) * late)
        arrivals.append((at, report))
        if rng.random() < _LATE_SHARE:
            again = at + timedelta(hours=rng.uniform(0, 6))
            arrivals.append((again, report))
    return sorted(arrivals, key=lambda arrival: arrival[0])


def two_up(client: Client, world: World) -> list[Alarm]:
    """One reply 2 points or more above the one before."""
    alarms, before = [], client.start.pain
    for report in client.reports:
        if report.pain is None:
            continue
        if before is not None and report.pain - before >= 2:
            alarms.append(Alarm(report.at, PAIN_UP, "next_day"))
        before = report.pain
    return alarms


def thirty_percent(client: Client, world: World) -> list[Alarm]:
    """One reply 30 % or more above the starting point."""
    usual = client.start.pain or 0.0
    return [
        Alarm(report.at, PAIN_UP, "next_day")
        for report in client.reports
        if report.pain is not None and report.pain >= 1.3 * usual
    ]


def farther_once(client: Client, world: World) -> list[Alarm]:
    """One reply one coarse zone or more beyond the median of the last five days."""
    alarms = []
    seen: list[tuple[datetime, int]] = []
    start = zone_of(client.start)
    for report in client.reports:
        zone = zone_of(report)
        if zone is None:
            continue
        recent = [level for at, level in seen if at > report.at - _USUAL]
        usual = median(recent) if recent else start
        if usual is not None and zone - usual >= 1:
            alarms.append(Alarm(report.at, SPREADING, "next_day"))
        seen.append((report.at, zone))
    return alarms


RULES: dict[str, Rule] = {
    "ours": ours,
    "one reply 2 up": two_up,
    "30 % above start": thirty_percent,
    "farther zone once": farther_once,
}


def reasons_of(alarms: Sequence[Alarm], *reasons: str) -> list[Alarm]:
    """Return the alarms of these reasons."""
    return [alarm for alarm in alarms if alarm.reason in reasons]
