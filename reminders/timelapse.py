"""Time lapse: the service's own work under a clock that is moved, not waited for.

The clock goes from one moment at which something is due to the next: a text, a step
of silence, a question left open, a plan to be made. What happens at each is what the
workers do; nothing here decides anything.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import Max

from clinic.logic.ids import SeededIds, drawn_from, new_id
from clinic.models import Client
from clinic.models import clients as client_states
from reminders import escalating, planning, receiving, sending, tasks, watching
from reminders.gateways.base import Gateway
from reminders.logic import ask_backs, silence
from reminders.logic.ask_backs import AskBack
from reminders.models import Alert, Inbound, Outbound
from reminders.models import alerts as alert_states
from reminders.models import messages as states
from reminders.receiving import Arrival

ROUNDS_EVERY = timedelta(hours=24)  # plans reach 36 h ahead, silence starts at 24
PAGED_EXACTLY = timedelta(hours=1)
_INSTANT = timedelta(microseconds=1)
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass
class TimeLapse:
    """A moved clock with the service's work in it.

    `grid`: moments of the service's own work are put off to the next multiple of
    it (zero: exactly when due), so that many clients' texts share one step.
    """

    now: datetime
    gateway: Gateway
    grid: timedelta = timedelta(0)
    _rounds_at: datetime | None = None
    _watch_at: list[datetime] = field(default_factory=list)
    _changed: dict[UUID, UUID] = field(default_factory=dict)

    @contextmanager
    def running(self, seed: str) -> Iterator[None]:
        """Everything in the block happens at the moved clock, with ids from `seed`."""
        ids = SeededIds(seed, lambda: self.now)
        with drawn_from(ids), tasks.wake_ups_to(self._take):
            yield

    def forward(self, until: datetime) -> None:
        """Let time pass up to and with `until`, working at every moment due."""
        while (moment := self.next_moment()) < until:
            self.step(moment)
        self.step(max(self.now, until))

    def next_moment(self) -> datetime:
        """When there is work next, after now."""
        text = _next_text(self.now)
        due = [at for at in (text, self._rounds_at, *self._watch_at) if at is not None]
        moment = max(min(due, default=self.now), self.now + _INSTANT)
        return self._on_grid(moment)

    def step(self, moment: datetime) -> None:
        """Move the clock to `moment` and do what is due there, the sender last."""
        self.now = moment
        if self._rounds_at is None or moment >= self._rounds_at:
            self._rounds()
        elif any(at <= moment for at in self._watch_at):
            self._watch()
        self.settle()

    def arrive(self, arrival: Arrival, *, asked: str | None = None) -> Inbound:
        """A text comes in now; what it wakes up happens at once."""
        before = new_id()
        inbound = receiving.arrive(arrival, self.now, asked=asked)
        self.settle()
        if _asks_for_watch(before):
            self._watch_at = _watch_moments(self.now)
        return inbound

    def settle(self) -> None:
        """Do what was woken up: plan the programs that changed, send what is due."""
        while self._changed:
            program_id, organization_id = self._changed.popitem()
            planning.plan_by_id(program_id, organization_id, self.now)
        sending.send_due(self.gateway, self.now)

    def _rounds(self) -> None:
        """What beat starts in any case: plan, sweep, watch."""
        planning.plan_all(self.now)
        receiving.sweep(self.now)
        sending.expire_and_release(self.now)
        self._rounds_at = self.now + ROUNDS_EVERY
        self._watch()

    def _watch(self) -> None:
        watching.watch(self.now)
        escalating.walk(self.now)
        self._watch_at = _watch_moments(self.now)

    def _take(self, task: Any, args: tuple[str, ...]) -> None:
        if task.name == tasks.plan_one.name:
            self._changed[UUID(args[0])] = UUID(args[1])

    def _on_grid(self, moment: datetime) -> datetime:
        if not self.grid:
            return moment
        return moment + (_EPOCH - moment) % self.grid


def _next_text(now: datetime) -> datetime | None:
    """When the next text falls due."""
    rows = Outbound.objects.across("simulated time covers every organization")
    pending = rows.filter(state=states.PENDING, due_at__gt=now).order_by("due_at")
    return pending.values_list("due_at", flat=True).first()


def _asks_for_watch(since: UUID) -> bool:
    """Whether a question or a page was texted since: only these hurry the watch."""
    rows = Outbound.objects.across("simulated time covers every organization")
    kinds = ("ask_safety", "ask_who", "staff_page", "staff_page_next")
    return rows.filter(pk__gt=since, kind__in=kinds).exists()


def _watch_moments(now: datetime) -> list[datetime]:
    """When the watch has something to do next, as far as it is known now."""
    found = [*_questions(now), *_silences(now), *_pages(now)]
    return sorted(at for at in found if at > now)[:1]


def _questions(now: datetime) -> Iterator[datetime]:
    """When a safety or "who" question that is open has waited long enough."""
    rows = Outbound.objects.across("simulated time covers every organization").filter(
        asks__in=("safety", "who"),
        kind__startswith="ask_",
        sent_at__gt=now - timedelta(hours=2),
    )
    for asks, sent_at in rows.values_list("asks", "sent_at"):
        at = ask_backs.deadline(AskBack(asks, sent_at))
        if at is not None:
            yield at


def _silences(now: datetime) -> Iterator[datetime]:
    """The next step of silence of every monitored client."""
    clients = Client.objects.across("simulated time covers every organization").filter(
        monitoring=client_states.ACTIVE
    )
    rows = clients.annotate(started_at=Max("programs__started_at"))
    heard = rows.values_list("last_heard_at", "monitored_since", "started_at")
    for known in heard:
        since = max((at for at in known if at is not None), default=None)
        if since is not None:
            yield from (since + after for after in silence.STEPS_AFTER)


def _pages(now: datetime) -> Iterator[datetime]:
    """When the next person is paged about an emergency of the last hours.

    Later pages of one that nobody takes go out with the rounds.
    """
    rows = Alert.objects.across("simulated time covers every organization").filter(
        state=alert_states.OPEN, rank=0, raised_at__gt=now - PAGED_EXACTLY
    )
    for paged_at, minutes in rows.values_list("paged_at", "site__page_wait_minutes"):
        yield (paged_at or now) + timedelta(minutes=minutes)
