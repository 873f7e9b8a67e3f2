"""Numbers in a text and what each one is by its position, not by being a number."""

from collections.abc import Iterator
from dataclasses import dataclass

from reminders.logic.reply.clauses import Placed
from reminders.logic.reply.marks import Mark
from reminders.logic.reply.reading import Reading

_TOP = 10
# "an eight" is a rating anywhere; "one bit better" and French "un peu" are not.
_ALSO_ARTICLES = frozenset({"one", "un", "una", "une", "uno"})


@dataclass(frozen=True, slots=True)
class Number:
    """Value of tokens `start` up to `end`.

    `role`: scale ("3/10"), plain, fraction ("3 of 5": `of` is 5), count, unclear
    (a rating that cannot be trusted as it stands), other. `faint` values are
    words that are articles as well. `past` is the first of "6 -> 3".
    """

    value: float
    start: int
    end: int
    role: str
    of: float | None = None
    faint: bool = False
    past: bool = False
    unit: str | None = None


def read_numbers(reading: Reading) -> Placed[Number]:
    """Every number with its role, left to right."""
    starts = {mark.start: mark for mark in reading.marks}
    ends = {mark.end: mark for mark in reading.marks}
    out: list[Number] = []
    at = 0
    while at < len(reading.tokens):
        found = _number_at(reading, starts, ends, at)
        if found is None:
            at += 1
            continue
        out.append(found)
        at = found.end
    return Placed(_joined(reading, starts, out))


def _number_at(
    reading: Reading, starts: dict[int, Mark], ends: dict[int, Mark], at: int
) -> Number | None:
    value = value_at(reading, at)
    end = at + 1
    if value is not None and _inside_a_phrase(reading, at):
        return None
    if value is None:
        return _dictated(reading, starts, at)
    half = starts.get(end)
    if half and half.is_a("number.half"):
        value, end = value + 0.5, half.end
    outof = _out_of(reading, starts, end)
    if outof and _counts(starts.get(outof)):
        return Number(value, at, outof, "fraction", of=_TOP)
    if outof:
        return Number(min(value, _TOP), at, outof, "scale")
    faint = reading.tokens[at].text in _ALSO_ARTICLES
    return _by_neighbors(
        reading, starts, ends, Number(value, at, end, "plain", faint=faint)
    )


def _counts(mark: Mark | None) -> bool:
    """ "8 out of 10 reps" counts repetitions."""
    return mark is not None and (mark.is_a("unit") or mark.is_a("exercise"))


def _inside_a_phrase(reading: Reading, at: int) -> bool:
    """ "las dos piernas", "number two": the number is a part of another word."""
    for mark in reading.between(max(0, at - 4), at + 1):
        longer = mark.end - mark.start > 1 and mark.start <= at < mark.end
        if longer and not (mark.is_a("number") or mark.is_a("rating")):
            return True
    return False


def value_at(reading: Reading, at: int) -> float | None:
    """The value of a number or number word; a huge number is 1e6, never a rating."""
    token = reading.tokens[at]
    if token.kind == "number":
        return 1e6 if token.value is None else token.value
    return reading.words.numbers.get(token.text) if token.kind == "word" else None


def _dictated(reading: Reading, starts: dict[int, Mark], at: int) -> Number | None:
    """ "pain for out of ten": a dictated four, believed only before a scale."""
    mark = starts.get(at)
    value = mark.value("dictated") if mark else None
    if not mark or value is None:
        return None
    outof = _out_of(reading, starts, mark.end)
    return Number(float(value), at, outof, "scale") if outof else None


def _out_of(reading: Reading, starts: dict[int, Mark], at: int) -> int | None:
    """Token after "/10" or "out of ten", None if there is no such scale here."""
    mark = starts.get(at)
    if mark and mark.is_a("number.out_of_ten"):
        return mark.end
    tokens = reading.tokens
    if at + 1 < len(tokens) and tokens[at].text == "/" and tokens[at + 1].value == _TOP:
        third = at + 2 < len(tokens) and tokens[at + 2].text == "/"
        return None if third else at + 2
    return None


def _by_neighbors(
    reading: Reading, starts: dict[int, Mark], ends: dict[int, Mark], number: Number
) -> Number:
    after, before = starts.get(number.end), ends.get(number.start)
    fraction = _fraction(reading, starts, number)
    if fraction:
        return fraction
    if _is_clock_or_date(reading, number):
        return _as(number, "other")
    unit = after.value("unit") if after else None
    if unit:
        return _as(number, "count", end=after.end if after else 0, unit=unit)
    if before and before.is_a("label"):
        return _as(number, "count", unit=before.value("label"))
    if _follows_sets(reading, number.start):
        return _as(number, "count", unit="reps")
    if before and reading.tokens[before.start].text == "x":
        return _as(number, "count", unit="by")
    return _as(number, _plain_role(reading, before, after, number))


def _follows_sets(reading: Reading, at: int) -> bool:
    """ "3 sets of 10" are repetitions."""
    near = reading.nested.between(max(0, at - 3), at)
    links = [mark for mark in near if mark.is_a("number.of") and mark.end == at]
    return any(
        m.is_a("unit.sets") and m.end == link.start for m in near for link in links
    )


def _plain_role(
    reading: Reading, before: Mark | None, after: Mark | None, number: Number
) -> str:
    tokens = reading.tokens
    glued_word = number.end < len(tokens) and tokens[number.end].glued
    if glued_word and tokens[number.end].kind == "word" and not _ish(after):
        return "unclear" if tokens[number.end].text == "o" else "other"
    if before and before.is_a("number.at_most"):
        return "unclear"
    if number.start and tokens[number.start].glued and _minus(reading, number.start):
        return "unclear"
    if number.value > _TOP:
        return "big"
    word_before = number.start and tokens[number.start - 1].kind == "word"
    if word_before and tokens[number.start].glued:
        return "plain" if before else "other"
    return "plain"


def _ish(mark: Mark | None) -> bool:
    return mark is not None and (mark.is_a("number.about") or mark.is_a("time"))


def _minus(reading: Reading, at: int) -> bool:
    """ "-3" at the start of a text; after a word the sign is only a dash."""
    tokens = reading.tokens
    return tokens[at - 1].text == "-" and (at == 1 or tokens[at - 2].kind == "sign")


def _fraction(
    reading: Reading, starts: dict[int, Mark], number: Number
) -> Number | None:
    tokens, at = reading.tokens, number.end
    mark = starts.get(at)
    joint = at + 1 if at < len(tokens) and tokens[at].text == "/" else None
    if mark and mark.is_a("number.of"):
        joint = mark.end
    if joint is None or joint >= len(tokens):
        return None
    whole = value_at(reading, joint)
    if whole is None:
        return None
    if joint + 1 < len(tokens) and tokens[joint + 1].text == "/":
        return _as(number, "other", end=min(joint + 3, len(tokens)))
    return Number(number.value, number.start, joint + 1, "fraction", of=whole)


def _is_clock_or_date(reading: Reading, number: Number) -> bool:
    tokens = reading.tokens
    after, before = number.end, number.start - 1
    for sign, other in ((after, after + 1), (before, before - 1)):
        inside = 0 <= sign < len(tokens) and 0 <= other < len(tokens)
        if inside and tokens[sign].text == ":" and tokens[other].kind == "number":
            return tokens[max(sign, other, number.start)].glued
    return False


def _as(
    number: Number, role: str, *, end: int | None = None, unit: str | None = None
) -> Number:
    return Number(
        number.value,
        number.start,
        number.end if end is None else end,
        role,
        faint=number.faint,
        past=number.past,
        unit=unit,
    )


def _joined(
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
        if link == "change":
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
