"""All work that is due at a moment, in the order the workers would do it.

For whoever moves the clock: the demo, a replay, the page of phones. A service that
runs does the same by its timetable.
"""

from __future__ import annotations

from datetime import datetime

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
