"""Tingling, numbness and weakness stated for the first time.

A nerve that starts to lose feeling or strength matters more than pain, so a new
place or a heavier word counts, and so does a word never used before on that side.
"""

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta

from programs.logic import body
from programs.logic.assessment import NEXT_DAY, Finding
from programs.logic.history import History
from programs.logic.reach import SIDE_NUMBER, UNSIDED
from programs.logic.reports import SymptomReport

# Long enough for a weekend and a device that syncs late (common practice).
RECENT = timedelta(hours=72)
_WEIGHT = {word: weight for weight, word in enumerate(body.SENSATIONS)}
# (side, coarse zone or None for `leg`) -> weight of the heaviest word said there
_Known = dict[tuple[str, int | None], int]


def new_numbness(history: History) -> Finding | None:
    """Return the finding that feeling or strength changed in the last 72 h: next_day.

    Compared with the starting point and every report of four weeks. The same place
    with the same or a lighter word is not new; `leg` without a level is not new once
    any level of that leg was named, but does not cover a level named later.
    """
    known: _Known = {}
    news: list[tuple[datetime, str, int]] = []
    side: str | None = None
    if not any([each.report.sensation for each in history.seen]):
        return None
    starts = len(history.starts)
    for place, report in enumerate((*history.starts, *history.reports)):
        side = report.side or side
        if not report.sensation:
            continue
        fresh = list(_fresh(known, _stated(report, side)))
        known.update({(s, z): w for s, z, w in fresh})
        if place >= starts:
            news += [(report.at, s, w) for s, _, w in fresh]
    recent = [item for item in news if item[0] > history.now - RECENT]
    return _finding(history, recent) if recent else None


def _stated(
    report: SymptomReport, side: str | None
) -> Iterator[tuple[str, int | None, int]]:
    for area, word in report.sensation.items():
        if report.areas.get(area) != "gone":
            for single in body.sides(side) or (UNSIDED,):
                yield single, body.zone(area), _WEIGHT[word]


def _fresh(
    known: _Known, stated: Iterable[tuple[str, int | None, int]]
) -> Iterator[tuple[str, int | None, int]]:
    for side, zone, weight in stated:
        if weight > _heaviest(known, side, zone):
            yield side, zone, weight


def _heaviest(known: _Known, side: str, zone: int | None) -> int:
    """Return the heaviest word known for a place; a word without a side covers both."""
    return max(
        (
            weight
            for (where, level), weight in known.items()
            if where in (side, UNSIDED) and (zone is None or level == zone)
        ),
        default=-1,
    )


def _finding(history: History, recent: list[tuple[datetime, str, int]]) -> Finding:
    at, side, _ = recent[-1]
    numbers = {
        "places": float(len(recent)),
        "weight": float(max(weight for _, _, weight in recent)),
        "side": SIDE_NUMBER[side],
        "hours_ago": history.hours_since(at),
        "first_hours_ago": history.hours_since(recent[0][0]),
    }
    return Finding("new_numbness", NEXT_DAY, numbers)
