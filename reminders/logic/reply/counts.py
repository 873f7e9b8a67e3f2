"""Doses a client reports: seconds held, repetitions, sets."""

from collections.abc import Sequence
from itertools import pairwise

from reminders.logic.reply.marks import Mark
from reminders.logic.reply.network import bits_of
from reminders.logic.reply.numbers import Number
from reminders.logic.reply.reading import Reading

_SECONDS = {"seconds": 1, "minutes": 60, "hold": 1}
_MOST = {"hold_seconds": 3600, "repetitions": 500, "sets": 100}
_MINUTE = 60
_FEW, _MANY = 4, 5
_LONG = bits_of(("long",))
_DOSES = ("reps", "sets")


def read_counts(
    reading: Reading, numbers: Sequence[Number]
) -> dict[str, tuple[int, Number]]:
    """Field name to its count and the number it came from; the first named wins."""
    found: dict[str, tuple[int, Number]] = {}
    for number in numbers:
        if number.faint and number.unit == "hold":
            continue
        dose = number.role == "fraction" and number.unit in _DOSES
        counted = number.role == "count" or dose
        if counted and not _undone(reading, number):
            field = _field(reading, number)
            value = round(number.value * _SECONDS.get(number.unit or "", 1))
            if field and 0 < value <= _MOST[field]:
                found.setdefault(field, (value, number))
    _add_numbered_sets(found, numbers)
    _add_minutes(reading, found, numbers)
    return _by_size(found, numbers)


def _undone(reading: Reading, number: Number) -> bool:
    """ "couldnt hold 30 seconds", "did not do 10"."""
    near = reading.nested.between(max(0, number.start - 4), number.start)
    unable = any(mark.is_a("fail.cannot") for mark in near)
    return unable or reading.scopes.negator[number.start] >= 0


def _add_numbered_sets(
    found: dict[str, tuple[int, Number]], numbers: Sequence[Number]
) -> None:
    """ "Set 1: 10, Set 2: 10", "stopped after set two": the highest is how many."""
    named = [each for each in numbers if each.unit == "set_number"]
    if named and "sets" not in found:
        last = max(named, key=lambda each: each.value)
        if 0 < last.value <= _MOST["sets"]:
            found["sets"] = (round(last.value), last)


def _add_minutes(
    reading: Reading, found: dict[str, tuple[int, Number]], numbers: Sequence[Number]
) -> None:
    """ "held a full minute", "half a minute hold", "a minute and a half"."""
    wanted = reading.bits & _LONG and "hold_seconds" not in found
    for mark in reading.nested if wanted else ():
        half = mark.is_a("long.half")
        if not (half or mark.is_a("long.minute")) or not _is_held(reading, mark):
            continue
        seconds = _MINUTE // 2 if half else _MINUTE
        after = reading.nested.between(mark.end, mark.end + 1)
        seconds += 30 if any(m.is_a("number.half") for m in after) else 0
        more = [n for n in numbers if n.start == mark.end and n.value < _MINUTE]
        seconds += round(more[0].value) if more and not half else 0
        found["hold_seconds"] = (
            seconds,
            Number(seconds, mark.start, mark.end, "count"),
        )
        return


def _is_held(reading: Reading, mark: Mark) -> bool:
    near = reading.between(max(0, mark.start - 4), mark.end + 4)
    return any(m.is_a("hold") or m.is_a("label.hold") for m in near)


def _field(reading: Reading, number: Number) -> str | None:
    if number.unit in ("reps", "by"):
        return "repetitions" if number.unit == "reps" else "sets"
    if number.unit == "sets":
        return None if number.faint and _one_of_many(reading, number) else "sets"
    near = reading.between(max(0, number.start - 4), number.end + 4)
    held = any(m.is_a("hold") and not m.is_a("hold.weak") for m in near)
    if number.unit == "hold" or (number.unit == "minutes" and held):
        return "hold_seconds"
    if number.unit == "times" and number.value >= _MANY and _is_done(near):
        return "repetitions"
    return "hold_seconds" if number.unit == "seconds" else None


def _is_done(near: Sequence[Mark]) -> bool:
    return any(mark.is_a("done") for mark in near)


def _one_of_many(reading: Reading, number: Number) -> bool:
    """ "one session", "one round" may be a manner of speaking; "one set" counts."""
    return reading.tokens[number.end - 1].text not in ("set", "sets")


def _by_size(
    found: dict[str, tuple[int, Number]], numbers: Sequence[Number]
) -> dict[str, tuple[int, Number]]:
    """ "3x10" and "10x3" are both three sets of ten: sets are the fewer.

    In "10 x 5 sec" and "30s x 5" what is not the seconds is how often.
    """
    for first, second in pairwise(numbers):
        if first.end != second.start:
            continue
        if first.unit == "times" and second.unit in ("by", "times"):
            few, many = sorted((first, second), key=lambda each: each.value)
            if few.value >= 1 and many.value <= _MOST["repetitions"]:
                found["sets"] = (int(few.value), few)
                found["repetitions"] = (int(many.value), many)
        elif first.unit == "times" and second.unit == "reps":
            found.setdefault("sets", (int(first.value), first))
        elif first.unit == "times" and second.unit == "seconds":
            found.setdefault("repetitions", (int(first.value), first))
    _settle_lone(found, numbers)
    return found


def _settle_lone(
    found: dict[str, tuple[int, Number]], numbers: Sequence[Number]
) -> None:
    """ "30s x 5" and "x10" are repetitions: sets only multiply repetitions."""
    value, lone = found.get("sets", (0, None))
    if lone is None or lone.unit != "by":
        return
    before = next((n for n in numbers if n.end == lone.start), None)
    before = before or next((n for n in numbers if n.end == lone.start - 1), None)
    unit = before.unit if before else None
    if unit in ("reps", "times"):
        return
    del found["sets"]
    if value >= _FEW or unit == "seconds":
        found.setdefault("repetitions", (value, lone))
