"""Places that a sign tells of: a leg that buckles hurts nowhere and is not well."""

from collections.abc import Sequence

from reminders.logic.reply.marks import Mark
from reminders.logic.reply.network import bits_of
from reminders.logic.reply.reading import Reading
from reminders.logic.reply.signs import Found

_OF_LIMBS = frozenset({"leg_weakness", "both_legs", "calf_swelling"})
_TOLD = frozenset({"warn", "ask"})
_BEFORE, _AFTER = 4, 3
_AREA = bits_of(("area",))


def failing_areas(reading: Reading) -> dict[str, Mark]:
    """Areas of limbs said now to fail, swell or feel odd, each with its mark."""
    found: dict[str, Mark] = {}
    for sign in reading.signs if reading.bits & _AREA else ():
        if sign.asserted and sign.sign.kind in _OF_LIMBS and sign.sign.yields in _TOLD:
            for mark in _areas_of(reading, sign):
                found.setdefault(mark.value("area") or "", mark)
    return found


def _areas_of(reading: Reading, sign: Found) -> Sequence[Mark]:
    """Those named in the sign; else the last before it; else the next after it."""
    named = (m for m in reading.nested.between(sign.start, sign.end) if _is_area(m))
    inside = [each for mark in named for each in _whole(reading, mark)]
    if inside:
        return inside
    low = max(sign.clause.start, sign.start - _BEFORE)
    before = [m for m in reading.between(low, sign.start) if _is_area(m)]
    if before:
        return before[-1:]
    high = min(sign.clause.end, sign.end + _AFTER)
    return [m for m in reading.between(sign.end, high) if _is_area(m)][:1]


def _is_area(mark: Mark) -> bool:
    return mark.is_any(_AREA)


def _whole(reading: Reading, mark: Mark) -> list[Mark]:
    """ "back of my knee" is a knee and no back, "between my legs" is no leg."""
    near = reading.between(max(0, mark.start - _BEFORE), mark.end)
    around = [m for m in near if m.start <= mark.start and mark.end <= m.end]
    if any(m.is_a("filler.not_a_place") for m in around):
        return []
    return [m for m in around if _is_area(m)] or [mark]
