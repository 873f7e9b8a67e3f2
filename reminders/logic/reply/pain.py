"""Pain ratings: which are of now, the one to act on, and "no pain" as 0."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from reminders.logic.reply.clauses import Placed, Range
from reminders.logic.reply.marks import Mark
from reminders.logic.reply.network import bits_of
from reminders.logic.reply.numbers import Number, value_at
from reminders.logic.reply.ratings import Surroundings, is_rating, is_unclear
from reminders.logic.reply.reading import Reading

_BEFORE, _AFTER = bits_of(("pair.before",)), bits_of(("pair.after",))
_ACHES = bits_of(("symptom.pain", "symptom.sore"))
_PAINS = _ACHES | bits_of(("symptom.none",))
_SEVERAL, _NOON, _FIGURES = 2, 12, 4


@dataclass(frozen=True, slots=True)
class Rating:
    """A 0-10 rating in tokens `start` up to `end`; `now` unless said of before.

    `hour` is that of the part of the day named with it, None if none is.
    """

    value: float
    start: int
    end: int
    now: bool
    marked_now: bool
    was: bool = False
    hour: float | None = None


@dataclass(frozen=True, slots=True)
class Pain:
    """Ratings in order, the current one, and whether a rating stayed unclear."""

    ratings: Placed[Rating]
    current: Rating | None
    unclear: bool


def read_pain(reading: Reading, numbers: Placed[Number]) -> Pain:
    """The rating to act on is the highest one named as of now."""
    ratings: list[Rating] = []
    paired = _paired(reading, numbers)
    unclear = False
    for segment in (each for clause in reading.clauses for each in clause.segments):
        inside = numbers.between(*segment)
        if not inside:
            continue
        around = Surroundings(reading, segment, paired)
        rated = [n for n in inside if is_rating(around, n)]
        unclear = unclear or any(is_unclear(around, n) for n in inside)
        ratings += _timed(reading, rated, segment)
    ratings = _latest(ratings)
    current = _current(ratings)
    if current is None and not unclear:
        current = _no_pain(reading) or _answered_none(reading)
    return Pain(Placed(ratings), current, unclear)


def _paired(reading: Reading, numbers: Sequence[Number]) -> frozenset[int]:
    """ "before 6, after 4", "6 before 4 after": both halves, each beside a number."""
    if not (reading.bits & _BEFORE and reading.bits & _AFTER):
        return frozenset()
    plain = [each for each in numbers if each.role == "plain"]
    marks = [mark for mark in reading.nested if mark.is_a("pair")]
    for trailing in (True, False):
        beside = {
            each.start: mark
            for each in plain
            for mark in marks
            if (mark.start == each.end if trailing else _leads_to(reading, mark, each))
        }
        halves = {mark.value("pair") for mark in beside.values()}
        if len(halves) > 1:
            return frozenset(beside)
    return frozenset()


def _leads_to(reading: Reading, mark: Mark, number: Number) -> bool:
    """Only a sign, as in "before: 6", may stand between."""
    between = reading.tokens[mark.end : number.start]
    near = 0 <= number.start - mark.end <= 1
    return near and all(token.kind == "sign" for token in between)


def _latest(ratings: Sequence[Rating]) -> list[Rating]:
    """Of ratings at several hours of the day only the last is of now."""
    hours = {each.hour for each in ratings if each.hour is not None and each.now}
    said_now = any(each.marked_now and each.hour is None for each in ratings)
    if not hours or (len(hours) < _SEVERAL and not said_now):
        return list(ratings)
    last = None if said_now else max(hours)
    return [
        each
        if each.hour is None or each.hour == last
        else replace(each, now=False, marked_now=False)
        for each in ratings
    ]


def _hour(reading: Reading, start: int, end: int) -> float | None:
    """The hour a part of the day or a clock names in tokens `start` up to `end`."""
    for mark in reading.nested.between(start, end):
        part = mark.value("daypart")
        if part is not None:
            return float(part)
    return _clock(reading, start, end)


def _clock(reading: Reading, start: int, end: int) -> float | None:
    """ "1pm", "0700:", "at six pm"."""
    for at in range(start, end):
        value = value_at(reading, at)
        if value is None:
            continue
        text = reading.tokens[at].text
        after = reading.tokens[at + 1].text if at + 1 < end else ""
        if after in ("am", "pm"):
            return value % _NOON + (_NOON if after == "pm" else 0)
        if len(text) == _FIGURES and text.isdigit():
            return value / 100
    return None


def _timed(reading: Reading, rated: Sequence[Number], segment: Range) -> list[Rating]:
    """The time word before a number governs it; trailing ones govern backward."""
    if not rated:
        return []
    trailing = _trails(reading, rated, segment)
    edges = [segment[0], *(each.end for each in rated)]
    nexts = [*(each.start for each in rated[1:]), segment[1]]
    out = []
    for number, low, high in zip(rated, edges, nexts, strict=False):
        before = _times(reading, low, number.start)
        after = _times(reading, number.end, high)
        last = after if high == segment[1] else []
        sole = len(rated) == 1
        times = (after or before) if trailing else before or last
        times = [*before, *after] if sole else times
        rating = _rating(number, times, arrived=_arrived(reading, number))
        behind = number.end, high
        ahead = low, number.start
        first, then = (behind, ahead) if trailing else (ahead, behind)
        hour = _hour(reading, *first)
        if hour is None and (sole or trailing):
            hour = _hour(reading, *then)
        out.append(replace(rating, hour=hour))
    return out


def _arrived(reading: Reading, number: Number) -> bool:
    """ "5, down to 3 after": where it came to is where it is now."""
    near = reading.nested.between(max(0, number.start - 3), number.start)
    return any(m.is_a("number.now_to") and m.end == number.start for m in near)


def _rating(number: Number, times: Sequence[Mark], *, arrived: bool) -> Rating:
    earlier = any(m.is_a("time.before") for m in times)
    past = number.past or earlier or any(m.is_a("time.was") for m in times)
    now = arrived or any(m.is_a("time.now") for m in times)
    return Rating(
        value=min(number.value, 10.0),
        start=number.start,
        end=number.end,
        now=now or not past,
        marked_now=now,
        was=past and not earlier and not number.past,
    )


def _times(reading: Reading, start: int, end: int) -> list[Mark]:
    return [m for m in reading.between(start, end) if m.is_a("time")]


def _trails(reading: Reading, rated: Sequence[Number], segment: Range) -> bool:
    """ "7 before 4 after": no time word leads, one closes."""
    leads = _times(reading, segment[0], rated[0].start)
    closes = _times(reading, rated[-1].end, segment[1])
    return bool(closes) and not leads


def _current(ratings: Sequence[Rating]) -> Rating | None:
    """Those marked as now; else those not said of before; else a lone "was 6"."""
    for chosen in (
        [each for each in ratings if each.marked_now],
        [each for each in ratings if each.now],
        [each for each in ratings if each.was],
    ):
        if chosen:
            return max(chosen, key=lambda each: each.value)
    return None


def _no_pain(reading: Reading) -> Rating | None:
    """ "no pain" with no place named is 0; with a place it speaks of that place."""
    found = None
    for clause in reading.clauses if reading.bits & _PAINS else ():
        for segment in clause.segments:
            inside = reading.between(*segment)
            placed = any(m.is_a("area") or m.is_a("body") for m in inside)
            for mark in inside:
                if reading.asked == "nothing" and not _named(reading, mark):
                    continue
                if mark.is_a("symptom.none") and not placed and reading.real(mark):
                    found = found or mark
                if _hurts(reading, mark):
                    return None
                if _denies(reading, mark) and not placed:
                    found = found or mark
    return Rating(0.0, found.start, found.end, True, False) if found else None


def _named(reading: Reading, mark: Mark) -> bool:
    """With nothing asked "isnt bad" is no rating, "no pain" is."""
    inside = reading.nested.between(mark.start, mark.end)
    beside = reading.scopes.negator[mark.start] in (-1, mark.start - 1)
    return beside and any(m.is_a("unasked") for m in inside)


def _answered_none(reading: Reading) -> Rating | None:
    """ "none" to how strong or how far is no pain at all."""
    if reading.asked not in ("pain", "reach"):
        return None
    for mark in reading.marks[:2]:
        if mark.is_a("answer.no") and mark.start == 0:
            return Rating(0.0, mark.start, mark.end, True, False)
    return None


def _hurts(reading: Reading, mark: Mark) -> bool:
    pain = mark.is_any(_ACHES)
    return pain and reading.stated(mark) and not mark.is_a("symptom.none")


def _denies(reading: Reading, mark: Mark) -> bool:
    denied = mark.is_any(_ACHES) and reading.scopes.negator[mark.start] >= 0
    return denied and reading.real(mark)
