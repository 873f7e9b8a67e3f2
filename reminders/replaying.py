"""Replaying conversations through the real inbound path on a simulated clock.

Each conversation has a fresh client on a stock spine program and a database of its
own; the planner, the sender and the watch run between its turns.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from clinic import scope, settling, staffing
from clinic.enrolling import Enrollment
from clinic.logic.ids import SeededIds, drawn_from
from clinic.models import Client, Organization, Staff
from clinic.settling import SiteDetails
from programs import assessing, plans, prescribing, publishing
from programs import library as exercises
from programs.plans import PRECAUTIONS, Start
from reminders import conversation, enrolling
from reminders.conversations import Conversation, Turn
from reminders.gateways.base import Parcel
from reminders.gateways.phones import Phones
from reminders.logic.reply.explain import explain
from reminders.models import AlertEvent, Inbound
from reminders.receiving import Arrival
from reminders.timelapse import TimeLapse

SENDING, NUMBER = "+12025550100", "+12025550143"  # numbers kept for fiction
STOCK_PROGRAM = "extension_progress"
_LONG_AGO = datetime(1989, 1, 1, tzinfo=UTC)
_OPENS, _CLOSES = time(9, 0), time(19, 0)
_CONSENT = "I agree to get texts about my home exercises and can end them by STOP."


class Heard(Phones):
    """The demo's phones, keeping what reached the one that is replayed."""

    def __init__(self) -> None:
        self.bodies: list[str] = []

    def send(self, parcel: Parcel) -> Any:
        if parcel.to == NUMBER:
            self.bodies.append(parcel.body)
        return super().send(parcel)


@dataclass
class Replay:
    """One conversation under way: its client, its clock, what was shown already."""

    client: Client
    lapse: TimeLapse
    phones: Heard
    texts: int = 0
    explains: bool = False
    shown: set[Any] = field(default_factory=set)

    def turn(self, turn: Turn, number: int) -> dict[str, Any]:
        """Move the clock to the turn, take its text in, and say what came of it."""
        self.lapse.forward(turn.at)
        inbound = None
        if turn.text is not None:
            inbound = self._text(turn, turn.text, number)
        result = {
            "reply": inbound.reply if inbound else None,
            "assessment": self._assessment(),
            "alerts": self._alerts(),
            "sent": self._sent(),
        }
        if self.explains:
            result["stages"] = self._stages(inbound)
        return result

    def _stages(self, inbound: Inbound | None) -> dict[str, Any] | None:
        """How the text was read, without the reply, which the result has already."""
        if inbound is None:
            return None
        language, asked = self.client.language, inbound.asked or None
        told = explain(inbound.body, language=language, asked=asked)
        return {name: value for name, value in told.items() if name != "reply"}

    def _text(self, turn: Turn, text: str, number: int) -> Inbound:
        arrival = Arrival(f"turn-{number}", NUMBER, SENDING, text)
        asked = turn.asked or conversation.open_ask_back(self.client, turn.at)
        return self.lapse.arrive(arrival, asked=asked or "session")

    def _assessment(self) -> dict[str, Any]:
        now = self.lapse.now
        due = conversation.reminders_sent(self.client, now)
        return assessing.to_json(assessing.as_of(self.client, due=due, now=now))

    def _alerts(self) -> list[dict[str, str]]:
        events = AlertEvent.objects.filter(
            alert__client=self.client, kind__in=("opened", "grown")
        ).order_by("at", "id")
        new = [event for event in events if event.id not in self.shown]
        self.shown |= {event.id for event in new}
        return [{"urgency": each.urgency, "reason": each.reason} for each in new]

    def _sent(self) -> list[str]:
        new = self.phones.bodies[self.texts :]
        self.texts += len(new)
        return new


def found_clinic() -> tuple[Organization, Staff]:
    """The clinic that every conversation starts from, the same each time."""
    with drawn_from(SeededIds("clinic", lambda: _LONG_AGO)):
        organization = staffing.found_organization("Replay", SENDING, now=_LONG_AGO)
        clinician = staffing.add_staff(
            organization,
            email="clinician@replay.example",
            name="Replay Clinician",
            password=None,
            by="replay",
            now=_LONG_AGO,
        )
    return organization, clinician


def replay(
    talk: Conversation,
    organization: Organization,
    clinician: Staff,
    *,
    explains: bool = False,
) -> Iterator[dict[str, Any]]:
    """One result a turn: reply, assessment, alerts and texts since the last one.

    With `explains` each result has the stages its text was read in as well.
    """
    with _started(talk, organization, clinician) as running:
        running.explains = explains
        for number, turn in enumerate(talk.turns):
            yield {"id": talk.id, "turn": number, **running.turn(turn, number)}


@contextmanager
def _started(
    talk: Conversation, organization: Organization, clinician: Staff
) -> Iterator[Replay]:
    """A client enrolled, prescribed for and confirmed shortly before the first turn.

    Those first texts are not part of the conversation.
    """
    phones = Heard()
    lapse = TimeLapse(_beginning(talk), phones)
    with lapse.running(talk.id), scope.within(organization.id):
        client = _enrolled(talk, organization, clinician, lapse.now)
        lapse.step(lapse.now)
        lapse.arrive(Arrival("first-answer", NUMBER, SENDING, "ok"), asked="start")
        client.refresh_from_db()
        yield Replay(client, lapse, phones, texts=len(phones.bodies))


def _beginning(talk: Conversation) -> datetime:
    """An hour before the first turn, or the evening before when that is no daytime."""
    local = talk.turns[0].at.astimezone(ZoneInfo(talk.time_zone)) - timedelta(hours=1)
    if local.time() > _CLOSES:
        local = local.replace(hour=_CLOSES.hour, minute=0)
    elif local.time() < _OPENS:
        local = local.replace(hour=_CLOSES.hour, minute=0) - timedelta(days=1)
    return local.replace(second=0, microsecond=0).astimezone(UTC)


def _enrolled(
    talk: Conversation, organization: Organization, clinician: Staff, now: datetime
) -> Client:
    site = settling.open_site(organization, _details(talk), by="replay", now=now)
    on_call = [(clinician, "+12025550191")]
    settling.set_on_call(site, on_call, by="replay", now=now)
    details = Enrollment(
        "Replayed Client", NUMBER, talk.language, talk.time_zone, _CONSENT
    )
    client = enrolling.enroll(site, clinician, details, by=clinician, now=now)
    content = publishing.starter_content(exercises.starters()[STOCK_PROGRAM])
    today = prescribing.local_day(client, now)
    plan = plans.from_content(content, today=today)
    prescribing.prescribe(client, plan, _stock_start(), by=clinician, now=now)
    return client


def _details(talk: Conversation) -> SiteDetails:
    weekdays = {str(day): [["08:00", "18:00"]] for day in range(5)}
    return SiteDetails(
        name="Replay",
        short_name="Replay Clinic",
        time_zone=talk.time_zone,
        region="US",
        language=talk.language,
        emergency_number="911",
        crisis_line="988",
        call_back_number="202-555-0110",
        hours=weekdays | {"5": [], "6": []},
        quiet_from=time(21, 0),
        quiet_to=time(8, 0),
    )


def _stock_start() -> Start:
    """Pain 5 as far as the thigh; on both sides, so that no side is new in itself."""
    return Start(
        pain=5.0,
        reach_left="thigh",
        reach_right="thigh",
        directional_preference="extension",
        precautions=dict.fromkeys(PRECAUTIONS, False),
    )
