"""The demo's weeks: one clock, the service's work, and people on both ends of it.

Every text that reached a phone is offered to its client; what comes back arrives as
any text does. Clinicians look at the list each morning but the last.
"""

from __future__ import annotations

import heapq
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from functools import partial
from itertools import count
from random import Random
from time import perf_counter
from typing import Any
from zoneinfo import ZoneInfo

from clinic import scope
from clinic.models import Site
from reminders.demo import mornings, prescriptions
from reminders.demo.casting import Days, DemoClient
from reminders.demo.founding import SENDING, DemoClinic
from reminders.gateways.base import Parcel, Receipt
from reminders.gateways.phones import Phones
from reminders.models import Alert, Outbound
from reminders.models import alerts as alert_states
from reminders.receiving import Arrival
from reminders.simulation.said import Answer
from reminders.timelapse import TimeLapse

MORNING = time(8, 2)  # before the first texts of a day are answered
TAKEN_AFTER = timedelta(minutes=7)  # before the page goes on to the next person
Event = Callable[[], None]


class Heard(Phones):
    """The phones, telling which texts have just reached one."""

    def __init__(self) -> None:
        self.arrived: list[Parcel] = []

    def send(self, parcel: Parcel) -> Receipt:
        self.arrived.append(parcel)
        return super().send(parcel)


@dataclass
class Weeks:
    """The simulated time of one demo."""

    clinic: DemoClinic
    clients: list[DemoClient]
    days: Days
    rng: Random
    lapse: TimeLapse
    phones: Heard
    events: list[tuple[datetime, int, Event]] = field(default_factory=list)
    order: Any = field(default_factory=count)
    texts_in: int = 0
    texts_out: int = 0
    decided: int = 0
    taken: set[Any] = field(default_factory=set)
    seconds: Counter[str] = field(default_factory=Counter)

    def spent(self) -> str:
        """What the building took its time for, the longest first."""
        parts = self.seconds.most_common()
        return ", ".join(f"{name} {seconds:.0f} s" for name, seconds in parts)

    def begin(self) -> None:
        """Put into the calendar when each client is enrolled, and the mornings."""
        for turn, client in enumerate(self.clients):
            self._at(client.begins, partial(self._admit, client, turn))
        for site in self.clinic.sites:
            for morning in mornings_of(site, self.days):
                self._at(morning, partial(self._morning, site))

    def run(self, until: datetime) -> None:
        """Let the time pass up to `until`."""
        with scope.within(self.clinic.organization.id):
            while (moment := self._next()) <= until:
                self._go_to(moment)
            self._go_to(until)

    def _next(self) -> datetime:
        work = self.lapse.next_moment()
        return min(work, self.events[0][0]) if self.events else work

    def _go_to(self, moment: datetime) -> None:
        with self._timed("planning and sending"):
            self.lapse.step(moment)
        while self.events and self.events[0][0] <= moment:
            heapq.heappop(self.events)[2]()
        self._deliver()

    @contextmanager
    def _timed(self, part: str) -> Iterator[None]:
        began = perf_counter()
        yield
        self.seconds[part] += perf_counter() - began

    def _deliver(self) -> None:
        """Offer what has just arrived to the people who hold the phones."""
        parcels, self.phones.arrived = self.phones.arrived, []
        by_number = {client.person.phone: client for client in self.clients}
        rows = {
            str(row.id): row
            for row in Outbound.objects.filter(
                pk__in=[parcel.outbound_id for parcel in parcels]
            ).only("id", "kind", "asks")
        }
        for parcel in parcels:
            self.texts_out += 1
            client = by_number.get(parcel.to)
            if client is None:
                self._paged()
                continue
            asks = rows[parcel.outbound_id].asks or None
            for answer in client.answers(self.lapse.now, asks):
                at = max(answer.at_utc, self.lapse.now)
                self._at(at, partial(self._text, client, answer))

    def _text(self, client: DemoClient, answer: Answer) -> None:
        self.texts_in += 1
        gateway_id = f"demo-{self.texts_in}"
        arrival = Arrival(gateway_id, client.person.phone, SENDING, answer.text)
        with self._timed("replies read and answered"):
            self.lapse.arrive(arrival)

    def _admit(self, client: DemoClient, turn: int) -> None:
        prescriptions.admit(
            client, self.clinic, turn=turn, now=self.lapse.now, rng=self.rng
        )
        self.lapse.settle()

    def _morning(self, site: Site) -> None:
        now, rng = self.lapse.now, self.rng
        with self._timed("decisions"):
            for staff in self.clinic.clinicians(site):
                self.decided += mornings.let_go_on(staff, site, now=now)
                self.decided += mornings.decide_on_list(site, staff, now=now, rng=rng)
                self.decided += mornings.step_up(staff, site, now=now)
            self.lapse.settle()

    def _paged(self) -> None:
        """A page reached somebody on call: they take it some minutes later."""
        open_ones = Alert.objects.filter(state=alert_states.OPEN, rank=0)
        for alert in open_ones.select_related("client__clinician").order_by("id"):
            if (alert.id, alert.raised_at) not in self.taken:
                self.taken.add((alert.id, alert.raised_at))
                self._at(
                    self.lapse.now + TAKEN_AFTER,
                    partial(self._take, alert),
                )

    def _take(self, alert: Alert) -> None:
        by = alert.client.clinician
        mornings.take_emergency(alert, by=by, now=self.lapse.now)

    def _at(self, moment: datetime, event: Event) -> None:
        heapq.heappush(self.events, (moment, next(self.order), event))


def mornings_of(site: Site, days: Days) -> list[datetime]:
    """The working mornings of the site up to the last one that is decided on."""
    zone = ZoneInfo(site.time_zone)
    day = days.first.astimezone(zone).date()
    found = []
    while True:
        at = datetime.combine(day, MORNING, tzinfo=zone)
        if at > days.last_mornings[site.time_zone]:
            return found
        if site.hours.get(str(day.weekday())) and at > days.first:
            found.append(at)
        day += timedelta(days=1)


def last_morning(until: datetime, zone: ZoneInfo) -> datetime:
    """The last working morning that lies well before `until`: later alerts stay."""
    day = (until - timedelta(hours=20)).astimezone(zone)
    at = day.replace(hour=MORNING.hour, minute=MORNING.minute, second=0, microsecond=0)
    if at > day:
        at -= timedelta(days=1)
    while at.weekday() > 4:
        at -= timedelta(days=1)
    return at
