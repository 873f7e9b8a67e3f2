"""Two numbers that are one rating, or a rating and where it came from."""

from collections.abc import Iterator

from reminders.logic.reply.figures import Number, recast
from reminders.logic.reply.marks import Mark
from reminders.logic.reply.reading import Reading

_TEN_FOUR = (10, 4)


def joined(
    reading: Reading, starts: dict[int, Mark], numbers: list[Number]
) -> Iterator[Number]:
    """Ranges become their upper end; in "6 -> 3" and "from 6 to 3" the 6 is past."""
    at = 0
    while at < len(numbers):
        first = numbers[at]
        second = numbers[at + 1] if at + 1 < len(numbers) else None
        link = _link(reading, starts, first, second) if second else None
        if second is None or link is None:
            yield first
            at += 1
            continue
        if link == "range" and _is_ten_four(reading, first, second):
            yield recast(first, "other", end=second.end)
        elif link == "change":
            yield Number(first.value, first.start, first.end, "plain", past=True)
            yield second
        else:
            yield _upper(first, second)
        at += 2


def _upper(first: Number, second: Number) -> Number:
    """One number for a range: of "10-15 reps" too, where only the second has a unit."""
    role = second.role if first.role in ("plain", "big") else first.role
    value = max(first.value, second.value)
    return Number(value, first.start, second.end, role, unit=second.unit)


def _is_ten_four(reading: Reading, first: Number, second: Number) -> bool:
    """ "10-4": understood."""
    glued = first.end + 2 == second.end and reading.tokens[second.start].glued
    return glued and (first.value, second.value) == _TEN_FOUR


def _link(
    reading: Reading, starts: dict[int, Mark], first: Number, second: Number
) -> str | None:
    if first.role not in ("plain", "big", "unclear"):
        return None
    if second.role not in ("plain", "scale", "count", "big"):
        return None
    gap = reading.tokens[first.end : second.start]
    mark = starts.get(first.end)
    if not gap:
        both_words = reading.tokens[first.start].kind == "word"
        return "range" if both_words and not first.faint else None
    if len(gap) == 1 and gap[0].kind == "arrow":
        return "change"
    if len(gap) == 1 and gap[0].text in ("-", "~"):
        return "range"
    if mark and mark.end == second.start and mark.is_a("number.to"):
        return "change" if _after_from(reading, first) else "range"
    between = mark and mark.end == second.start and mark.is_a("scope.and")
    return "range" if between and _after(reading, first, "number.between") else None


def _after_from(reading: Reading, number: Number) -> bool:
    return _after(reading, number, "number.since")


def _after(reading: Reading, number: Number, concept: str) -> bool:
    near = reading.nested.between(max(0, number.start - 2), number.start)
    return any(mark.is_a(concept) for mark in near)
