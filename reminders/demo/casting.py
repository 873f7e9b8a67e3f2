"""Who the demo's clients are, and what befalls a few of them near its end.

Most follow their kind's course. A few are cast, so that the last morning's list
shows each sort of row whatever the seed: they still answer real texts in their own
words, and all that follows is the service's doing.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from itertools import zip_longest

from reminders.simulation.clients import SyntheticClient, make_clients
from reminders.simulation.courses import (
    NON_RESPONDER,
    PAIN_ONLY_WORSENING,
    PERIPHERALIZER,
    SLOW_IMPROVER,
)
from reminders.simulation.mixes import REALISTIC_MIX
from reminders.simulation.said import Answer, Said
from reminders.simulation.warned import WarningPlan

LANGUAGES = {"en": 0.6, "es": 0.25, "fr": 0.15}
MIX = {**REALISTIC_MIX, "sudden_warning": 0.05}
_EAGER = 2.5  # log-odds of answering: a cast client's part must be heard
_LAST_HEARD_DAY = 10  # the last day on which a non-responder answers


@dataclass(slots=True)
class DemoClient:
    """A synthetic client at one of the sites, with a question for the end or none."""

    person: SyntheticClient
    site: int
    begins: datetime
    is_cast: bool = False
    asks_from: datetime | None = None

    def answers(self, sent_at: datetime, asks: str | None) -> list[Answer]:
        """What comes back to a text; one question, once, when it is time for it."""
        if asks == "start" and self.is_cast:
            return self._start(sent_at)
        given = self.person.answers(sent_at, asks)
        due = self.asks_from is not None and sent_at >= self.asks_from
        if not (given and due and asks == "session"):
            return given
        self.asks_from = None
        text = self.person.speaker.exact("question.ask", random.Random(given[0].text))
        return [Answer(given[0].at_utc, text, Said(topic="question"))]

    def _start(self, sent_at: datetime) -> list[Answer]:
        """A cast client who never answered the first text would have no part."""
        minutes = (sent_at + timedelta(minutes=minute) for minute in range(60))
        return next(filter(None, (self.person.answers(at, "start") for at in minutes)))


@dataclass(frozen=True, slots=True)
class Days:
    """The demo's first and last moments, and each zone's last morning of decisions."""

    first: datetime
    last_mornings: Mapping[str, datetime]
    until: datetime

    @property
    def last_morning(self) -> datetime:
        """The moment after which no list is gone through any more."""
        return max(self.last_mornings.values())

    def day_of(self, client: DemoClient, at: datetime) -> int:
        """The client's own day at a moment, 0 being the one they began on."""
        return client.person.day_of(at)


def cast(
    count: int, *, seed: int, codes: Sequence[Sequence[str]], days: Days
) -> list[DemoClient]:
    """The demo's clients in the order in which they are enrolled."""
    shares = [count - 2 * count // 5, 2 * count // 5]
    of_site: list[list[DemoClient]] = []
    for site, (share, own) in enumerate(zip(shares, codes, strict=True)):
        people = make_clients(
            share,
            seed=seed * 2 + site,
            mix=MIX,
            languages=LANGUAGES,
            area_codes=tuple(own),
        )
        of_site.append([DemoClient(each, site, days.first) for each in people])
    clients = [each for pair in zip_longest(*of_site) for each in pair if each]
    _spread_out(clients, days)
    for client, part in zip(clients[: count // 2], PARTS, strict=False):
        part(client, days)
    return clients


def _spread_out(clients: list[DemoClient], days: Days) -> None:
    """Enrolled over the first third of the time, some each hour of the desk's day."""
    span = (days.until - days.first) / 3
    for place, client in enumerate(clients):
        late = timedelta(days=(span / len(clients) * place).days)
        client.begins = days.first + late + timedelta(minutes=7 * (place % 50))
        client.person.starts_on = None
        client.person.day_of(client.begins)


def _emergency(client: DemoClient, days: Days) -> None:
    day = days.day_of(client, max(days.last_morning, days.until - timedelta(hours=12)))
    client.person.warning = WarningPlan("bladder_bowel", day, repeats=False)


def _spreading(client: DemoClient, days: Days) -> None:
    day = days.day_of(client, days.last_morning)
    _turn(client, PERIPHERALIZER, day)


def _pain_up(client: DemoClient, days: Days) -> None:
    day = days.day_of(client, days.last_morning) - 6
    _turn(client, PAIN_ONLY_WORSENING, max(1, day))


def _silent(client: DemoClient, days: Days) -> None:
    """Answers well until three days before the last morning, then not at all."""
    person = client.person
    begin = days.last_morning - timedelta(days=3 + _LAST_HEARD_DAY)
    person.starts_on = _local_date(client, begin)
    person.habits = replace(person.habits, kind=NON_RESPONDER)


def _opting_out(client: DemoClient, days: Days) -> None:
    client.person.opts_out_on = days.day_of(client, days.last_morning)


def _asking(client: DemoClient, days: Days) -> None:
    client.asks_from = days.last_morning


def _local_date(client: DemoClient, at: datetime) -> date:
    """The date on the client's clock, without starting their first day there."""
    person = client.person
    kept, person.starts_on = person.starts_on, None
    person.day_of(at)
    found, person.starts_on = person.starts_on, kept
    assert found is not None
    return found


def _turn(client: DemoClient, kind: str, day: int) -> None:
    """From `day` on the course is one of `kind`; nothing else befalls the client."""
    course = client.person.course
    client.person.course = replace(
        course,
        kind=kind,
        shape=kind,
        onset_day=day,
        days_per_zone=2,
        zone_start=min(course.zone_start, 2),
        pain_start=min(course.pain_start, 5.0),
    )


def _undisturbed(part: Callable[[DemoClient, Days], None]):  # type: ignore[no-untyped-def]
    """The part alone: no other warning, no opt-out, and a client who answers."""

    def played(client: DemoClient, days: Days) -> None:
        person = client.person
        person.warning, person.opts_out_on = None, None
        person.habits = replace(person.habits, kind=SLOW_IMPROVER, readiness=_EAGER)
        client.is_cast = True
        part(client, days)

    return played


PARTS = tuple(
    _undisturbed(part)
    for part in (_emergency, _spreading, _pain_up, _silent, _opting_out, _asking)
)
