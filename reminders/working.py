"""All work that is due at a moment, in the order the workers would do it.

For whoever moves the clock: the demo, a replay, the page of phones. A service that
runs does the same by its timetable.
"""

from __future__ import annotations

from datetime import datetime

from clinic import consenting
from clinic.models import PhoneNumber
from programs import prescribing
from reminders import (
    escalating,
    gateways,
    planning,
    receiving,
    sending,
    watching,
)
from reminders.gateways.base import Gateway


def work_once(now: datetime, *, gateway: Gateway | None = None) -> int:
    """Plan, read, watch, page and send what is due at `now`; how many texts left.

    `gateway` None is the configured one.
    """
    planning.plan_all(now)
    return tend(now, gateway=gateway)


def tend(now: datetime, *, gateway: Gateway | None = None) -> int:
    """The same without planning, which looks 36 hours ahead and is needed rarely."""
    receiving.sweep(now)
    sending.expire_and_release(now)
    watching.watch(now)
    escalating.walk(now)
    return sending.send_due(gateway or gateways.current(), now)


def answer_now(
    phone: PhoneNumber, now: datetime, *, gateway: Gateway | None = None
) -> int:
    """Plan whom the number reaches and send what is due: after a text from it.

    The workers do both within seconds; a page that shows the phone does not wait.
    """
    for client in consenting.holders(phone):
        program = prescribing.running(client)
        if program is not None:
            planning.plan_program(program, now)
    return sending.send_due(gateway or gateways.current(), now)
