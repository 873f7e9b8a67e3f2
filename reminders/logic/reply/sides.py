"""Which side: left, right or both."""

from collections.abc import Sequence

from reminders.logic.reply.clauses import Clause, Range
from reminders.logic.reply.marks import Mark, bits_in
from reminders.logic.reply.network import bits_of
from reminders.logic.reply.reading import Reading

_SEVERAL = 2
_PLACED = bits_of(("symptom", "ailing", "area", "change", "state", "move", "pointer"))
_SIDES = bits_of(("side", "side_letter"))
_POSTURE, _EXERCISE = bits_of(("posture",)), bits_of(("exercise",))
_AILS = bits_of(("symptom", "ailing", "change.worse", "change.same"))


def read_side(reading: Reading) -> tuple[str, Range] | None:
    """left, right or both, of the places that still have symptoms.

    The left of "leaning left" is no side of a symptom.
    """
    aching: dict[str, Mark] = {}
    if not reading.bits & _SIDES:
        return None
    for clause in reading.clauses:
        leaning = bits_in(reading.nested.between(clause.start, clause.end)) & _POSTURE
        for segment in clause.segments if not leaning else ():
            inside = reading.between(*segment)
            exercising = _is_exercise(reading.nested.between(*segment))
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
    """ "side glide to the left": no side of a symptom."""
    said = bits_in(marks)
    return said & _EXERCISE != 0 and not said & _AILS


def _is_well(inside: Sequence[Mark]) -> bool:
    gone = any(m.is_a("state.gone") for m in inside)
    return gone and not any(m.is_any(_AILS) for m in inside)


def _sides(reading: Reading, inside: Sequence[Mark]) -> list[Mark]:
    placed = any(m.is_a("area") for m in inside)
    sides = [m for m in inside if m.is_a("side") and reading.stated(m)]
    sides += [m for m in inside if _is_letter_of(m, inside) and reading.stated(m)]
    sides += [m for area in inside for m in _sides_in(reading, area)]
    return [m for m in sides if not m.is_a("side.both") or (placed and _two(m, inside))]


def _sides_in(reading: Reading, area: Mark) -> list[Mark]:
    """The left of "top of left foot", where the place is one phrase with it."""
    if not area.is_a("area") or area.is_a("side") or area.end - area.start == 1:
        return []
    nested = reading.nested.between(area.start, area.end)
    return [m for m in nested if m.is_a("side") and reading.stated(m)]


def _two(both: Mark, inside: Sequence[Mark]) -> bool:
    """In "hip and knee both nag" both are those two, and not both sides."""
    before = [m for m in inside if m.is_a("area") and m.end <= both.start]
    return len(before) < _SEVERAL or before[-1].end != both.start


def _is_letter_of(mark: Mark, inside: Sequence[Mark]) -> bool:
    """The L of "L calf" and "L lateral foot", not the r of "my legs r fine"."""
    if not mark.is_a("side_letter"):
        return False
    beside = range(mark.end, mark.end + 2)
    led = any(m.is_a("area") and m.end == mark.start for m in inside)
    return not led and any(m.is_a("area") and m.start in beside for m in inside)
