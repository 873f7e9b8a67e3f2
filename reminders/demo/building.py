"""Building the demo: the clinic, its clients, and the weeks up to the end moment."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from random import Random
from zoneinfo import ZoneInfo

from clinic import scope
from reminders.demo import casting, founding, weeks
from reminders.demo.casting import Days
from reminders.demo.founding import SITES, DemoClinic
from reminders.demo.weeks import Heard, Weeks
from reminders.timelapse import TimeLapse

GRID = timedelta(minutes=5)  # many clients' texts share one step of the clock
Tell = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is built: how many clients, how many days, from which seed, until when."""

    clients: int
    days: int
    seed: int
    until: datetime


def build(
    wanted: Wanted, *, password: str, tell: Tell, present: Callable[[], datetime] | None
) -> tuple[DemoClinic, Weeks]:
    """Build it all; `present` gives the moment to catch up with at the very end."""
    days = _days(wanted)
    codes = [site[2] for site in SITES]
    people = casting.cast(wanted.clients, seed=wanted.seed, codes=codes, days=days)
    phones = Heard()
    lapse = TimeLapse(days.first, phones, GRID)
    with lapse.running(f"demo/{wanted.seed}"):
        clinic = founding.found(password=password, now=days.first)
        tell(f"{clinic.organization.name}: two sites, {len(clinic.accounts)} people")
        rng = Random(f"demo/{wanted.seed}")
        time = Weeks(clinic, people, days, rng, lapse, phones)
        time.begin()
        _live(time, wanted, tell)
        if present is not None:
            time.run(present())
    return clinic, time


def _live(time: Weeks, wanted: Wanted, tell: Tell) -> None:
    with scope.within(time.clinic.organization.id):
        for day in range(1, wanted.days + 1):
            is_last = day == wanted.days
            end = time.days.first + timedelta(days=day)
            time.run(wanted.until if is_last else min(end, wanted.until))
            tell(
                f"day {day} of {wanted.days}: {time.texts_out} texts out,"
                f" {time.texts_in} in, {time.decided} decisions"
            )


def _days(wanted: Wanted) -> Days:
    """The weeks begin at a morning, so that the first texts leave on the first day."""
    zone = ZoneInfo(SITES[0][1])
    first = (wanted.until - timedelta(days=wanted.days)).astimezone(zone)
    morning = first.replace(hour=9, minute=0, second=0, microsecond=0)
    if morning > first:
        morning -= timedelta(days=1)
    mornings = {
        name: weeks.last_morning(wanted.until, ZoneInfo(name))
        for _, name, _, _ in SITES
    }
    return Days(morning.astimezone(UTC), mornings, wanted.until)
