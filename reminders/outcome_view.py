"""The course of each outcome measure as the client's page and its own page show it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.utils.safestring import SafeString, mark_safe

from clinic.models import Client
from programs import questions
from programs.logic.outcomes.line import line
from programs.logic.outcomes.measures import MEASURES, Step
from programs.logic.outcomes.values import Measure, shown
from programs.models import Outcome, OutcomeAsk


@dataclass(frozen=True, slots=True)
class Line:
    """One answer with what it says; `step` is None for one that does not count."""

    row: Outcome
    score: str
    step: Step | None


@dataclass(frozen=True, slots=True)
class MeasureView:
    """One measure of one client: newest line first, what the last one says."""

    measure: Measure
    lines: list[Line]
    latest: Step | None
    score: str
    drawn: SafeString
    waiting: OutcomeAsk | None
    may_ask: bool


def of_client(client: Client, now: datetime) -> list[MeasureView]:
    """Every measure, those with answers first."""
    rows = list(questions.outcomes_of(client))
    asks = questions.open_asks(client, now)
    found = [_view(one, client, rows, asks) for one in MEASURES.values()]
    return sorted(found, key=lambda view: not view.lines)


def of_measure(client: Client, code: str, now: datetime) -> MeasureView:
    """One measure; an unknown code raises KeyError."""
    rows = questions.outcomes_of(client).filter(measure=code)
    asks = questions.open_asks(client, now)
    return _view(MEASURES[code], client, list(rows), asks)


def _view(
    measure: Measure,
    client: Client,
    rows: Sequence[Outcome],
    asks: dict[str, OutcomeAsk],
) -> MeasureView:
    mine = [row for row in rows if row.measure == measure.code]
    steps = questions.course_of(mine, measure.code)
    drawn = line(
        measure,
        [step.taken for step in steps],
        zone=ZoneInfo(client.time_zone),
        prefix=f"course-{measure.code}",
    )
    return MeasureView(
        measure=measure,
        lines=_lines(mine, steps),
        latest=steps[-1] if steps else None,
        score=shown(steps[-1].taken.value) if steps else "",
        drawn=mark_safe(drawn),  # noqa: S308  the line escapes every word it is given
        waiting=asks.get(measure.code),
        may_ask=client.language in measure.by_link
        and (measure.code != "psfs" or bool(steps)),
    )


def _lines(rows: Sequence[Outcome], steps: Sequence[Step]) -> list[Line]:
    """Newest first; the steps are in the order of the answers that count."""
    ordered = iter(steps)
    found = [
        Line(row, shown(row.score), None if row.voided else next(ordered))
        for row in sorted(rows, key=lambda row: row.at)
    ]
    return found[::-1]
