"""How fast the engine is on ninety days of five reports a day."""

import random
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from programs.logic.course import Course
from programs.logic.reports import SymptomReport
from programs.logic.response import assess
from tests.bench.cohort.clients import ZONE

DAYS, A_DAY = 90, 5
_START = datetime(2026, 3, 2, 13, tzinfo=UTC)
_PLACES = ("thigh",) * 8 + ("buttock", "lower_leg")
_WORDS = (None, None, "same", "better", "worse")


@dataclass(frozen=True, slots=True)
class Speed:
    """Calls a second of a full look; milliseconds of a report taken into a course."""

    assess_per_second: float
    with_reminders_per_second: float
    take_ms: float
    take_and_assess_ms: float


def reports() -> list[SymptomReport]:
    """Return the series: a pain of about 5, mostly in the thigh, often on the left."""
    rng = random.Random("speed")
    return [
        SymptomReport(
            _START + timedelta(days=day, hours=3 * slot, minutes=rng.random() * 60),
            pain=float(min(10, max(0, round(rng.gauss(5, 1.1))))),
            areas={rng.choice(_PLACES): "present"},
            side=rng.choice(("left", None)),
            completion=rng.choice(("done", "done", "skipped")),
            overall=rng.choice(_WORDS),
        )
        for day in range(DAYS)
        for slot in range(A_DAY)
    ]


def measure(rounds: int = 40) -> Speed:
    """Return the best of many short rounds, in processor time of this process."""
    known = reports()
    now = known[-1].at + timedelta(minutes=1)
    start = SymptomReport(
        _START - timedelta(days=1), pain=5, areas={"thigh": "present"}
    )
    due = [report.at - timedelta(minutes=30) for report in known]

    def full() -> None:
        assess(known, now=now, zone=ZONE, since=_START, baseline=start)

    def reminded() -> None:
        assess(known, now=now, zone=ZONE, since=_START, due=due, baseline=start)

    return Speed(
        assess_per_second=1 / _best(full, rounds),
        with_reminders_per_second=1 / _best(reminded, rounds),
        take_ms=1000 * _steps(known, start, rounds, looks=False),
        take_and_assess_ms=1000 * _steps(known, start, rounds, looks=True),
    )


def _best(call: Callable[[], None], rounds: int, calls: int = 10) -> float:
    best = float("inf")
    for _ in range(rounds):
        began = time.process_time()
        for _ in range(calls):
            call()
        best = min(best, (time.process_time() - began) / calls)
    return best


def _steps(
    known: list[SymptomReport], start: SymptomReport, rounds: int, *, looks: bool
) -> float:
    """Return the seconds one of the last twenty reports costs, taken in turn."""
    best = float("inf")
    for _ in range(rounds):
        course = Course(known[:-20], zone=ZONE, since=_START, baseline=start)
        began = time.process_time()
        for report in known[-20:]:
            course.take(report)
            if looks:
                course.assess(now=report.at)
        best = min(best, (time.process_time() - began) / 20)
    return best
