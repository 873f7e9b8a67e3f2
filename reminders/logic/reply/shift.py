"""Movement of symptoms: drawing back toward the spine or going down the leg."""

from collections.abc import Sequence

from reminders.logic.reply.clauses import Range
from reminders.logic.reply.marks import Mark
from reminders.logic.reply.network import bits_of
from reminders.logic.reply.places import Places
from reminders.logic.reply.reading import Reading

_FAR = {"back": 0, "buttock": 1, "hip": 1, "thigh": 2, "leg": 3, "knee": 3}
_FAR |= {"lower_leg": 4, "foot": 5}
_AHEAD = 5
_MOVING = bits_of(("move", "pointer.only"))


def read_shift(reading: Reading, places: Places) -> tuple[str, Range] | None:
    """Said movement first, down before up; else what is gone against what is left."""
    found: dict[str, Range] = {}
    for clause in reading.clauses if reading.bits & _MOVING else ():
        for segment in clause.segments:
            marks = [m for m in reading.between(*segment) if reading.stated(m)]
            for mark in marks:
                shift = _of(reading, mark, marks)
                if shift:
                    found.setdefault(shift, (mark.start, mark.end))
    for shift in ("down_leg", "toward_back"):
        if shift in found:
            return (shift, found[shift])
    return _by_comparison(places)


def _of(reading: Reading, mark: Mark, marks: Sequence[Mark]) -> str | None:
    if mark.is_a("move.from") or not (mark.is_a("move") or mark.is_a("pointer.only")):
        return None
    ahead = [m for m in marks if mark.end <= m.start < mark.end + _AHEAD]
    area = next((m.value("area") for m in ahead if m.is_a("area")), None)
    if mark.is_a("area"):
        area = mark.value("area")
    if mark.is_a("pointer.only") and not mark.is_a("move"):
        return _only(marks, area)
    if mark.is_a("move.down"):
        return "down_leg" if area or mark.is_a("move.alone") else None
    if mark.is_a("move.up"):
        return "toward_back" if area or mark.is_a("move.alone") else None
    if mark.is_a("move.along"):
        return _reaches(reading, mark, ahead)
    if area == "back":
        return "toward_back"
    return "down_leg" if _FAR.get(area or "", 0) >= _FAR["knee"] else None


def _reaches(reading: Reading, way: Mark, ahead: Sequence[Mark]) -> str | None:
    """ "shooting down my leg" is where it runs; "... into the foot" has spread."""
    areas = [m for m in ahead if m.is_a("area")]
    if len(areas) < 2 or _FAR[areas[-1].value("area") or "back"] < _FAR["lower_leg"]:
        return None
    between = reading.tokens[areas[0].end : areas[-1].start]
    return "down_leg" if any(t.text == "into" for t in between) else None


def _only(marks: Sequence[Mark], area: str | None) -> str | None:
    """ "now only to the knee", "just in my back now": it reaches less far."""
    now = any(mark.is_a("time.now") for mark in marks)
    return "toward_back" if now and area and _FAR[area] < _FAR["foot"] else None


def _by_comparison(places: Places) -> tuple[str, Range] | None:
    left = [a for a, (state, _) in places.areas.items() if state != "gone"]
    nearest_gone = places.ended | places.earlier
    if places.narrowed:
        nearest_gone |= {a for a, (s, _) in places.areas.items() if s == "gone"}
    if not left or not nearest_gone:
        return _drawn_in(places) if not left else None
    farthest = max(left, key=lambda area: _FAR[area])
    if all(_FAR[area] > _FAR[farthest] for area in nearest_gone):
        return ("toward_back", places.areas[farthest][1])
    if all(_FAR[area] < _FAR[farthest] for area in nearest_gone):
        return ("down_leg", places.areas[farthest][1])
    return None


def _drawn_in(places: Places) -> tuple[str, Range] | None:
    """ "gone from the foot": out of a far place, nothing said to be farther."""
    for area in sorted(places.ended, key=lambda each: -_FAR[each]):
        if _FAR[area] > 0:
            return ("toward_back", places.areas[area][1])
    return None
