"""Everything the page of one client shows, gathered for a reader's role.

Symptoms, texts, program and reasons are gathered only for those who may read them,
so that no template has to hide anything.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.safestring import SafeString, mark_safe

from clinic import access
from clinic.logic import phone as phones
from clinic.models import Client, Staff
from programs import library, plans, prescribing
from programs.logic.dose import describe
from programs.logic.reach_chart import ReachMark, ReachRow, reach_chart, reach_table
from programs.logic.sessions import SessionRates
from programs.models import (
    Decision,
    HomeProgram,
    ProgramRevision,
    SessionReport,
    StartingPoint,
)
from reminders import (
    alerting,
    cards,
    charts,
    composing,
    dose_view,
    surroundings,
    triage,
)
from reminders.cards import Card
from reminders.dose_view import DoseView
from reminders.logic.when import when

LONGEST_CHART, SHORTEST_CHART = timedelta(days=42), timedelta(days=7)
WEEK = timedelta(days=7)
MOST_MARKS = 8


@dataclass(frozen=True, slots=True)
class Chart:
    """The reach chart in two widths, and its data as rows."""

    wide: SafeString
    narrow: SafeString
    rows: list[ReachRow]


@dataclass(frozen=True, slots=True)
class Item:
    """An exercise of the program with its dose in words and its drawing."""

    name: str
    dose: str
    approved: str
    drawing: SafeString


@dataclass(frozen=True, slots=True)
class ProgramView:
    """The running program and how it came about."""

    row: HomeProgram
    revision: ProgramRevision
    items: list[Item]
    start: StartingPoint | None
    reach: str
    precautions: str
    revisions: list[ProgramRevision]


@dataclass(frozen=True, slots=True)
class ReportLine:
    """A report with its areas in words."""

    row: SessionReport
    areas: str


@dataclass(frozen=True, slots=True)
class DecisionLine:
    """A decision with its kind in words."""

    row: Decision
    words: str


@dataclass(frozen=True, slots=True)
class Symptoms:
    """What only those who may read symptoms are given."""

    card: Card | None
    chart: Chart
    week: SessionRates
    reports: list[ReportLine]
    decisions: list[DecisionLine]
    program: ProgramView | None
    dose: DoseView | None


@dataclass(frozen=True, slots=True)
class ClientView:
    """The page of one client for one reader."""

    client: Client
    zone: ZoneInfo
    may: frozenset[str]
    state: str
    number: str
    number_state: str
    text_leaves: str
    schedule: ProgramRevision | None
    paused_until: Any
    consent: list[Any] = field(default_factory=list)
    symptoms: Symptoms | None = None


def view(client: Client, staff: Staff, now: datetime) -> ClientView:
    """Gather the page; the client must come from `access`."""
    may = access.operations_by_site(staff)(client.site_id)
    zone = ZoneInfo(client.time_zone)
    program = prescribing.running(client)
    number, state = _number(client, full="client.contact" in may)
    reads = "client.read_symptoms" in may
    leaves = composing.daytime(client, now)
    return ClientView(
        client=client,
        zone=zone,
        may=may,
        state=cards.state_words(client),
        number=number,
        number_state=state,
        text_leaves=when(leaves, zone=zone, now=now) if leaves > now else "",
        schedule=prescribing.current_revision(program) if program else None,
        paused_until=program.paused_until if program else None,
        consent=list(client.consent.select_related("by").order_by("-at")),
        symptoms=_symptoms(client, program, may, now) if reads else None,
    )


def _number(client: Client, *, full: bool) -> tuple[str, str]:
    phone = access.current_number(client)
    if phone is None:
        return "none", ""
    state = ""
    if phone.opted_out_at:
        state = "texts ended from this number"
    elif phone.wrong_at:
        state = "reaches somebody else"
    return (phone.number if full else phones.masked(phone.number)), state


def _symptoms(
    client: Client, program: HomeProgram | None, may: frozenset[str], now: datetime
) -> Symptoms:
    alert = alerting.open_chain(client)
    shown = cards.card(triage.row(alert, now), now, may=may) if alert else None
    since = now - LONGEST_CHART
    rows = SessionReport.objects.filter(client=client, at__gt=since).order_by("-at")
    reports = list(rows)
    decisions = list(client.decisions.select_related("author").order_by("-at"))
    made = _program(program) if program else None
    revisions = made.revisions if made else []
    alerts = client.alerts.filter(opened_at__gt=since)
    marks = charts.marks(revisions, [d for d in decisions if d.at > since], alerts)
    return Symptoms(
        card=shown,
        chart=_chart(client, reports, marks, program, now),
        week=_week(client, program, now),
        reports=[_line(report) for report in reports if report.at > now - WEEK],
        decisions=[
            DecisionLine(one, charts.DECISION_WORDS.get(one.kind, one.kind))
            for one in decisions
        ],
        program=made,
        dose=dose_view.view(client, program, now) if program else None,
    )


def _chart(
    client: Client,
    reports: list[SessionReport],
    marks: list[ReachMark],
    program: HomeProgram | None,
    now: datetime,
) -> Chart:
    zone = ZoneInfo(client.time_zone)
    first = min((report.at for report in reports), default=now)
    if program is not None:
        first = min(first, program.started_at)
    start = max(now - LONGEST_CHART, min(first, now - SHORTEST_CHART))
    points = charts.points(reports)
    wide, narrow = (
        # The chart escapes every word it is given; nothing else enters it.
        mark_safe(  # noqa: S308
            reach_chart(
                points,
                marks[-MOST_MARKS:],
                start=start,
                end=now,
                zone=zone,
                size=size,
                prefix=size,
            )
        )
        for size in ("full", "narrow")
    )
    return Chart(wide, narrow, reach_table(points, marks, zone=zone))


def _week(client: Client, program: HomeProgram | None, now: datetime) -> SessionRates:
    if program is None:
        return SessionRates(0, 0, 0, 0.0, 0.0)
    return surroundings.sessions(client, program, now)


def _program(program: HomeProgram) -> ProgramView:
    revisions = list(
        program.revisions.select_related("author")
        .prefetch_related("items")
        .order_by("-number")
    )
    current = revisions[0]
    start = StartingPoint.objects.filter(program=program).select_related("by").first()
    return ProgramView(
        row=program,
        revision=current,
        items=[_item(item, current) for item in current.items.all()],
        start=start,
        reach=_reach(start) if start else "",
        precautions=_precautions(start) if start else "",
        revisions=revisions,
    )


def _item(item: Any, revision: ProgramRevision) -> Item:
    dose = plans.dose_of(item, revision.times_per_day)
    approved = ""
    if item.hold_low is not None:
        approved = f"{item.hold_low} to {item.hold_high} s"
    return Item(
        name=library.load()[item.exercise].text("en").name,
        dose=describe(dose, form="long"),
        approved=approved,
        # A file of the library, not anybody's input.
        drawing=mark_safe(library.drawing(item.exercise)),  # noqa: S308
    )


def _reach(start: StartingPoint) -> str:
    """Each side on its own: sides are never averaged."""
    sides = (("left", start.reach_left), ("right", start.reach_right))
    named = [f"{side} {area.replace('_', ' ')}" for side, area in sides if area]
    return ", ".join(named) or "back only"


def _precautions(start: StartingPoint) -> str:
    named = [
        name.replace("_", " ") for name, is_so in start.precautions.items() if is_so
    ]
    return ", ".join(named) or "asked, none"


def _line(report: SessionReport) -> ReportLine:
    areas = [
        area.replace("_", " ") + ("" if state == "present" else f" {state}")
        for area, state in report.areas.items()
    ]
    return ReportLine(report, ", ".join(areas) or "not said")
