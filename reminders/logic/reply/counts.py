"""Doses a client reports: seconds held, repetitions, sets."""

from collections.abc import Sequence
from itertools import pairwise

from reminders.logic.reply.numbers import Number
from reminders.logic.reply.reading import Reading

_SECONDS = {"seconds": 1, "minutes": 60, "hold": 1}
_MOST = {"hold_seconds": 3600, "repetitions": 500, "sets": 100}


def read_counts(
    reading: Reading, numbers: Sequence[Number]
) -> dict[str, tuple[int, Number]]:
    """Field name to its count and the number it came from; the first named wins."""
    found: dict[str, tuple[int, Number]] = {}
    for number in numbers:
        if number.role == "count" and reading.scopes.negator[number.start] < 0:
            field = _field(reading, number)
            value = round(number.value * _SECONDS.get(number.unit or "", 1))
            if field and 0 < value <= _MOST[field]:
                found.setdefault(field, (value, number))
    return _by_size(found, numbers)


def _field(reading: Reading, number: Number) -> str | None:
    if number.unit in ("reps", "by"):
        return "repetitions" if number.unit == "reps" else "sets"
    if number.unit == "sets":
        return "sets"
    near = reading.between(max(0, number.start - 4), number.end + 4)
    held = any(mark.is_a("hold") for mark in near)
    if number.unit == "hold" or (number.unit == "minutes" and held):
        return "hold_seconds"
    return "hold_seconds" if number.unit == "seconds" else None


def _by_size(
    found: dict[str, tuple[int, Number]], numbers: Sequence[Number]
) -> dict[str, tuple[int, Number]]:
    """ "3x10" and "10x3" are both three sets of ten: sets are the fewer."""
    for first, second in pairwise(numbers):
        if first.unit == "times" and second.unit == "by" and first.end == second.start:
            few, many = sorted((first, second), key=lambda each: each.value)
            if few.value >= 1 and many.value <= _MOST["repetitions"]:
                found["sets"] = (int(few.value), few)
                found["repetitions"] = (int(many.value), many)
    return found
