"""Celery tasks: wake-ups without content. What is due is in the rows.

A lost, doubled or late message changes when something happens, never what.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any
from uuid import UUID

from celery import shared_task
from django.db import transaction

from clinic import clock, logs
from clinic.models import Client
from programs import prescribing
from reminders import (
    escalating,
    gateways,
    mailing,
    planning,
    receiving,
    sending,
    watching,
)

log = logs.get("reminders.tasks")
MOST_GROUPS = 100  # then the next wake-up goes on: no task runs for ever
Taker = Callable[[Any, tuple[str, ...]], None]
_taker: ContextVar[Taker | None] = ContextVar("taker", default=None)


@contextmanager
def wake_ups_to(taker: Taker) -> Iterator[None]:
    """Hand wake-ups to `taker` in this block, not to the broker.

    For simulated time: a worker that took one from the broker would work at the
    machine's clock instead.
    """
    token = _taker.set(taker)
    try:
        yield
    finally:
        _taker.reset(token)


@shared_task(name="reminders.send")
def send() -> int:
    """Send what is due, each group at the moment it is taken."""
    taken = 0
    for _ in range(MOST_GROUPS):
        count, took = sending.send_group(gateways.current(), clock.now())
        taken += took
        if not count:
            break
    return taken


@shared_task(name="reminders.mail")
def mail() -> int:
    """Mail pages to people on call."""
    return mailing.send_due(clock.now())


@shared_task(name="reminders.plan")
def plan() -> int:
    """Plan every running program."""
    return planning.plan_all(clock.now())


@shared_task(name="reminders.plan_one")
def plan_one(program_id: str, organization_id: str) -> int:
    """Plan one program that changed."""
    return planning.plan_by_id(UUID(program_id), UUID(organization_id), clock.now())


@shared_task(name="reminders.sweep")
def sweep() -> int:
    """Find what a crash dropped: unread texts, half-sent texts, late texts."""
    now = clock.now()
    return receiving.sweep(now) + sending.expire_and_release(now)


@shared_task(name="reminders.watch")
def watch() -> int:
    """Silence, unanswered questions, and emergencies nobody has taken."""
    now = clock.now()
    return watching.watch(now) + escalating.walk(now)


def wake_sender(**_: Any) -> None:
    """After a commit that added a due text: a hint to send now."""
    _hint(send)


def wake_mailer(**_: Any) -> None:
    """After a commit that added a mail: a hint to send now."""
    _hint(mail)


def wake_planner(*, program_id: UUID, organization_id: UUID, **_: Any) -> None:
    """After a commit that changed a program: a hint to plan it now."""
    _hint(plan_one, str(program_id), str(organization_id))


def _hint(task: Any, *args: str) -> None:
    taker = _taker.get()
    if taker is not None:
        taker(task, args)
    else:
        _wake(task, *args)


def _wake(task: Any, *args: str) -> None:
    """Hand a wake-up to the broker; a broker that is away costs only time."""
    try:
        task.apply_async(args=args, expires=300, retry=False)
    except Exception as error:  # noqa: BLE001  any broker fault: the sweep finds the row
        log.warning("wake_up_lost", task=task.name, error=type(error).__name__)


def plan_after_commit(client: Client) -> None:
    """The client may be texted from this commit on: plan their program."""
    program = prescribing.running(client)
    if program is not None:
        news = {"program_id": program.id, "organization_id": program.organization_id}
        transaction.on_commit(lambda: wake_planner(**news), robust=True)
