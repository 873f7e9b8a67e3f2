"""The same clients through texts in and alerts out, compared alert for alert.

Each report is put into a plain text and goes the real way: gateway, stored, read,
reported, assessed, alerted, in a database of the run's own and under a moved clock.
A clinician decides on every open chain once it is a day old. Beside it the reports
go straight to `assess`, and the chain is kept in plain values: what opens, what
grows it, what a decision settles for two days. Both must raise the same reasons at
the same urgency on the same replies.
"""

# ruff: noqa: E402  models can only be imported once Django is set up
import logging
import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "clinic.settings")

import django

django.setup()

from clinic import scope, scratch, settling
from clinic.enrolling import Enrollment
from clinic.models import Client as Person
from clinic.models import Organization, Staff
from clinic.settling import SiteDetails
from programs import library, plans, prescribing, publishing
from programs.deciding import Choice
from programs.logic.reports import SymptomReport
from programs.logic.response import assess
from programs.plans import PRECAUTIONS, Start
from reminders import alerting, conversation, enrolling, replaying
from reminders.logic.findings import Context, Finding, findings, without_settled
from reminders.logic.reply import Reply
from reminders.logic.urgency import rank
from reminders.models import AlertEvent, Inbound
from reminders.receiving import Arrival
from reminders.timelapse import TimeLapse
from tests.bench.cohort.clients import DAYS, KINDS, ZONE, Client, cohort

DECIDED_AFTER = timedelta(hours=24)
DECISION = "call"
_PLACES = {"lower_leg": "lower leg", "leg": "leg"}
_DONE = {"done": "Done", "skipped": "Skipped it"}
Raised = tuple[int, str, str]


def compared(count: int, *, seed: int) -> Iterator[str]:
    """Yield, for one client a kind more each time, how the two ways agree so far."""
    logging.getLogger().setLevel("ERROR")
    cohorts = [list(cohort(kind, count, seed=seed)) for kind in KINDS]
    alerts = agreed = texts = 0
    with scratch.database() as database:
        organization, clinician = replaying.found_clinic()
        database.mark()
        for number, round_ in enumerate(zip(*cohorts, strict=True), start=1):
            for client in round_:
                database.back()
                key = f"{seed}/{client.kind}/{number}"
                by_text, due = _by_text(client, key, organization, clinician)
                straight = set(_straight(client, due))
                alerts += len(straight | by_text)
                agreed += len(straight & by_text)
                texts += len(client.reports)
            yield (
                f"{number} clients a kind by text: {texts} texts in, {alerts} alerts"
                f" either way, {agreed} the same on the same reply"
            )


def text_of(report: SymptomReport) -> str:
    """Return the report as a client would text it, so that it reads as it was."""
    parts = [_DONE[report.completion] + "."] if report.completion else []
    side = f"{report.side} " if report.side else ""
    if report.pain_by_area:
        (back, at), (area, leg) = report.pain_by_area.items()
        parts.append(f"{back.capitalize()} {at:g}, {side}{_place(area)} {leg:g}")
        return " ".join(parts)
    parts.append(f"Pain {report.pain:g}")
    for area in report.areas:
        where = "in the back" if area == "back" else f"down to the {_place(area)}"
        parts[-1] += f", {where}"
        if report.side:
            parts[-1] += f", {report.side} side"
    return " ".join(parts) + "."


def _place(area: str) -> str:
    return _PLACES.get(area, area)


def _by_text(
    client: Client, seed: str, organization: Organization, clinician: Staff
) -> tuple[set[Raised], list[datetime]]:
    """Return what was raised on which reply, and when reminders had gone out."""
    phones = replaying.Heard()
    lapse = TimeLapse(client.since, phones)
    raised: set[Raised] = set()
    with lapse.running(seed), scope.within(organization.id):
        person = _enrolled(client, organization, clinician)
        lapse.step(lapse.now)
        arrival = Arrival("first", replaying.NUMBER, replaying.SENDING, "ok")
        lapse.arrive(arrival, asked="start")
        for number, report in enumerate(client.reports):
            lapse.now = report.at
            _decide(person, clinician, report.at)
            text = text_of(report)
            said = Arrival(f"r{number}", replaying.NUMBER, replaying.SENDING, text)
            inbound = lapse.arrive(said, asked="session")
            raised |= {(number, *event) for event in _events(inbound)}
        sent = conversation.reminders_sent(person, lapse.now, days=2 * DAYS)
        return raised, sent


def _events(inbound: Inbound) -> Iterator[tuple[str, str]]:
    events = AlertEvent.objects.filter(
        inbound_id=inbound.id, kind__in=("opened", "grown")
    )
    return ((event.reason, event.urgency) for event in events)


def _decide(person: Person, clinician: Staff, now: datetime) -> None:
    chain = alerting.open_chain(person)
    if chain is not None and now - chain.opened_at >= DECIDED_AFTER:
        choice = Choice(DECISION, "Spoke to the client.")
        alerting.decide(person, choice, by=clinician, now=now, alert=chain)


def _enrolled(client: Client, organization: Organization, clinician: Staff) -> Person:
    site = settling.open_site(organization, _site(), by="bench", now=client.since)
    on_call = [(clinician, "+12025550191")]
    settling.set_on_call(site, on_call, by="bench", now=client.since)
    details = Enrollment(
        "Bench Client", replaying.NUMBER, "en", str(ZONE), "I agree to get texts."
    )
    person = enrolling.enroll(site, clinician, details, by=clinician, now=client.since)
    content = publishing.starter_content(library.starters()[replaying.STOCK_PROGRAM])
    today = prescribing.local_day(person, client.since)
    plan = plans.from_content(content, today=today)
    prescribing.prescribe(
        person, plan, _start(client.start), by=clinician, now=client.since
    )
    return person


def _site() -> SiteDetails:
    weekdays = {str(day): [["08:00", "18:00"]] for day in range(5)}
    return SiteDetails(
        name="Bench",
        short_name="Bench Clinic",
        time_zone=str(ZONE),
        region="US",
        language="en",
        emergency_number="911",
        crisis_line="988",
        call_back_number="202-555-0110",
        hours=weekdays | {"5": [], "6": []},
        quiet_from=time(21, 0),
        quiet_to=time(8, 0),
    )


def _start(found: SymptomReport) -> Start:
    (area,) = found.areas
    reach = {f"reach_{found.side}": area} if found.side else {}
    return Start(
        pain=float(found.pain or 0),
        precautions=dict.fromkeys(PRECAUTIONS, False),
        **reach,  # type: ignore[arg-type]
    )


@dataclass(slots=True)
class _Chain:
    """The client's chain in plain values, and what decisions settled."""

    opened_at: datetime | None = None
    reasons: dict[str, str] = field(default_factory=dict)
    resolved: list[tuple[datetime, dict[str, str]]] = field(default_factory=list)

    def decide(self, now: datetime) -> None:
        """The clinician decides once the chain is a day old."""
        if self.opened_at is not None and now - self.opened_at >= DECIDED_AFTER:
            self.resolved.append((now, self.reasons))
            self.opened_at, self.reasons = None, {}

    def settled(self, now: datetime) -> dict[str, str]:
        """Reasons decided on lately, at their worst urgency."""
        found: dict[str, str] = {}
        for at, reasons in self.resolved:
            if at > now - alerting.SETTLED_FOR:
                _worsen(found, reasons)
        return found

    def grow(self, found: tuple[Finding, ...], now: datetime) -> list[Finding]:
        """Return what is new in the chain, which is opened for it if need be."""
        if found and self.opened_at is None:
            self.opened_at = now
        known = self.reasons
        news = [
            each
            for each in found
            if each.reason not in known or rank(each.urgency) < rank(known[each.reason])
        ]
        _worsen(known, {each.reason: each.urgency for each in news})
        return news


def _worsen(known: dict[str, str], more: dict[str, str]) -> None:
    for reason, urgency in more.items():
        if reason not in known or rank(urgency) < rank(known[reason]):
            known[reason] = urgency


def _straight(client: Client, due: Sequence[datetime]) -> Iterator[Raised]:
    """Yield what the reports alone raise; `due` are reminders that went out."""
    chain = _Chain()
    for number, report in enumerate(client.reports):
        chain.decide(report.at)
        assessment = assess(
            client.reports[: number + 1],
            now=report.at,
            zone=ZONE,
            since=client.since,
            # one that leaves at the very moment leaves after the reply was read
            due=[moment for moment in due if moment < report.at],
            baseline=client.start,
        )
        reply = _as_read(report)
        found = findings(reply, assessment, context=Context(now=report.at))
        found = without_settled(found, chain.settled(report.at), reply)
        for each in chain.grow(found, report.at):
            yield number, each.reason, each.urgency


def _as_read(report: SymptomReport) -> Reply:
    return Reply(
        completion=report.completion,
        pain=report.pain,
        areas=dict(report.areas),
        side=report.side,
        pain_by_area=dict(report.pain_by_area),
    )
