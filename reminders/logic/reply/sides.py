"""Which side: left, right or both."""

from collections.abc import Sequence

from reminders.logic.reply.clauses import Range
from reminders.logic.reply.marks import Mark
from reminders.logic.reply.reading import Reading


def read_side(reading: Reading) -> tuple[str, Range] | None:
    """left, right or both, of the places that still have symptoms if any do."""
    aching: dict[str, Mark] = {}
    every: dict[str, Mark] = {}
    for clause in reading.clauses:
        for segment in clause.segments:
            inside = reading.between(*segment)
            gone = any(m.is_a("state.gone") for m in inside)
            for mark in _sides(reading, inside):
                side = mark.value("side") or ""
                every.setdefault(side, mark)
                if not gone:
                    aching.setdefault(side, mark)
    found = aching or every
    if not found:
        return None
    marks = list(found.values())
    return (
        "both" if len(found) > 1 else next(iter(found)),
        (min(m.start for m in marks), max(m.end for m in marks)),
    )


def _sides(reading: Reading, inside: Sequence[Mark]) -> list[Mark]:
    if any(m.is_a("exercise") or m.is_a("posture") for m in inside):
        return []
    placed = any(m.is_a("area") for m in inside)
    sides = [m for m in inside if m.is_a("side") and reading.stated(m)]
    return [m for m in sides if placed or not m.is_a("side.both")]
