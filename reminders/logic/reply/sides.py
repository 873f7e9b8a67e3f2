"""Which side: left, right or both."""

from collections.abc import Sequence

from reminders.logic.reply.clauses import Clause, Range
from reminders.logic.reply.marks import Mark
from reminders.logic.reply.network import bits_of
from reminders.logic.reply.reading import Reading

_PLACED = bits_of(("symptom", "ailing", "area", "change", "state", "move", "pointer"))
_SIDES = bits_of(("side", "side_letter"))
_AILS = bits_of(("symptom", "ailing", "change.worse", "change.same"))


def read_side(reading: Reading) -> tuple[str, Range] | None:
    """left, right or both, of the places that still have symptoms."""
    aching: dict[str, Mark] = {}
    if not reading.bits & _SIDES:
        return None
    for clause in reading.clauses:
        exercising = _is_exercise(reading.nested.between(clause.start, clause.end))
        for segment in clause.segments:
            inside = reading.between(*segment)
            if _is_well(inside) or exercising:
                continue
            for mark in _sides(reading, inside):
                if not _says_where(reading, mark, clause, segment):
                    continue
                side = mark.value("side") or mark.value("side_letter") or ""
                aching.setdefault(side, mark)
    if not aching:
        return None
    marks = list(aching.values())
    several = len(aching) > 1 or "other" in aching
    return (
        "both" if several else next(iter(aching)),
        (min(m.start for m in marks), max(m.end for m in marks)),
    )


def _says_where(reading: Reading, mark: Mark, clause: Clause, segment: Range) -> bool:
    """ "left calf", "calf, left", "right 5"; not the right of "right, done"."""
    if reading.asked == "reach" or mark.end - mark.start > 1:
        return True
    inside = reading.between(*segment)
    rated = any(reading.tokens[at].kind == "number" for at in range(*segment))
    if rated or any(m.is_any(_PLACED) for m in inside):
        return True
    first = segment[0] == clause.start
    earlier = reading.between(clause.start, segment[0])
    return not first and any(m.is_a("area") or m.is_a("side") for m in earlier)


def _is_exercise(marks: Sequence[Mark]) -> bool:
    """ "side glide to the left", "leaning left": no side of a symptom."""
    if any(m.is_a("posture") for m in marks):
        return True
    ails = any(m.is_any(_AILS) for m in marks)
    return any(m.is_a("exercise") for m in marks) and not ails


def _is_well(inside: Sequence[Mark]) -> bool:
    gone = any(m.is_a("state.gone") for m in inside)
    return gone and not any(m.is_any(_AILS) for m in inside)


def _sides(reading: Reading, inside: Sequence[Mark]) -> list[Mark]:
    placed = any(m.is_a("area") for m in inside)
    sides = [m for m in inside if m.is_a("side") and reading.stated(m)]
    sides += [m for m in inside if _is_letter_of(m, inside) and reading.stated(m)]
    return [m for m in sides if placed or not m.is_a("side.both")]


def _is_letter_of(mark: Mark, inside: Sequence[Mark]) -> bool:
    """The L of "L calf" and "L lateral foot", not the r of "my legs r fine"."""
    if not mark.is_a("side_letter"):
        return False
    beside = range(mark.end, mark.end + 2)
    led = any(m.is_a("area") and m.end == mark.start for m in inside)
    return not led and any(m.is_a("area") and m.start in beside for m in inside)
