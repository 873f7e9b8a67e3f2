"""Pain ratings: which numbers are one, which are current, and "no pain" as 0."""

from collections.abc import Sequence
from dataclasses import dataclass

from reminders.logic.reply.clauses import Range, marks_between
from reminders.logic.reply.marks import Mark
from reminders.logic.reply.numbers import Number
from reminders.logic.reply.reading import Reading

_RATED_BY_A_BARE_NUMBER = (None, "session", "pain")
_NEAR = 5
_SPEAKS_OF_PAIN = (
    "symptom",
    "rating",
    "area",
    "change",
    "number.about",
    "time.now",
    "time.before",
    "time.at",
    "side",
    "severity",
)
_PLAIN_COMPANY = (
    "filler",
    "time",
    "done",
    "answer",
    "number",
    "polite",
    "emoji",
    "change",
    "exercise",
    "rating",
    "scope",
    "side",
    "who.self",
    "area",
    "symptom",
    "severity",
    "unit",
)


@dataclass(frozen=True, slots=True)
class Rating:
    """A 0-10 rating in tokens `start` up to `end`; `now` unless said of before."""

    value: float
    start: int
    end: int
    now: bool
    marked_now: bool
    was: bool = False


@dataclass(frozen=True, slots=True)
class Pain:
    """Ratings in order, the current one, and whether a rating stayed unclear."""

    ratings: tuple[Rating, ...]
    current: Rating | None
    unclear: bool


def read_pain(reading: Reading, numbers: Sequence[Number]) -> Pain:
    """The rating to act on is the highest one named as of now."""
    ratings: list[Rating] = []
    unclear = False
    for clause in reading.clauses:
        for segment in clause.segments:
            inside = [n for n in numbers if segment[0] <= n.start < segment[1]]
            rated = [n for n in inside if _is_rating(reading, n, segment)]
            unclear = unclear or any(_is_unclear(reading, n, segment) for n in inside)
            ratings += [_timed(reading, n, rated, segment) for n in rated]
    current = _current(ratings) or _no_pain(reading) or _answered_none(reading)
    return Pain(tuple(ratings), current, unclear)


def _is_rating(reading: Reading, number: Number, segment: Range) -> bool:
    at = number.start
    scopes = reading.scopes
    if scopes.other[at] or scopes.imagined[at] or _denied(reading, number):
        return False
    if number.role == "scale":
        return not _praises(reading, number, segment)
    if number.role != "plain":
        return False
    return _named(reading, number, segment) or _bare(reading, number, segment)


def _denied(reading: Reading, number: Number) -> bool:
    """ "not a 3 more like 6"; but in "no pain 0" the 0 says the same."""
    cue = reading.scopes.negator[number.start]
    if cue < 0:
        return False
    between = reading.between(cue, number.start)
    return not any(m.is_a("symptom") or m.is_a("done") for m in between)


def _praises(reading: Reading, number: Number, segment: Range) -> bool:
    """ "10/10 would recommend", "feeling 10/10" is praise, not pain."""
    inside = reading.between(*segment)
    nested = marks_between(reading.nested, *segment)
    praise = any(mark.is_a("praise") for mark in nested)
    pain = any(mark.is_a("symptom") or mark.is_a("rating") for mark in inside)
    return praise and not pain and number.value >= 8


def _named(reading: Reading, number: Number, segment: Range) -> bool:
    """A word that speaks of pain stands close, and no verb of counting before."""
    low = max(segment[0], number.start - _NEAR)
    high = min(segment[1], number.end + _NEAR)
    near = reading.between(low, high)
    if number.faint:
        before = [m for m in near if m.end == number.start]
        return any(m.is_a("symptom.pain") or m.is_a("rating") for m in before)
    if _counted(reading, number):
        return False
    return any(mark.is_a(each) for mark in near for each in _SPEAKS_OF_PAIN)


def _counted(reading: Reading, number: Number) -> bool:
    """ "did 3", "all 5", "after 8", "at 7": how many or when, not how strong."""
    before = [m for m in reading.between(max(0, number.start - 4), number.start)]
    last = [m for m in before if m.end == number.start]
    if any(m.is_a("done.did") or m.is_a("number.all") for m in last):
        return True
    timed = any(m.is_a("number.when") for m in last)
    return timed and not any(m.is_a("symptom") or m.is_a("rating") for m in before)


def _bare(reading: Reading, number: Number, segment: Range) -> bool:
    """Alone, or among words that say nothing else, it answers the question asked."""
    if reading.asked not in _RATED_BY_A_BARE_NUMBER or _counted(reading, number):
        return False
    start, end = segment
    covered = set(range(number.start, number.end))
    for mark in reading.between(start, end):
        if mark.start == number.start:
            continue
        if not any(mark.is_a(each) for each in _PLAIN_COMPANY):
            return False
        covered |= set(range(mark.start, mark.end))
    words = [
        k for k in range(start, end) if reading.tokens[k].kind in ("word", "number")
    ]
    if number.faint:
        return all(number.start <= k < number.end for k in words)
    return all(k in covered or reading.tokens[k].kind == "number" for k in words)


def _is_unclear(reading: Reading, number: Number, segment: Range) -> bool:
    """Something meant as a rating that must not be guessed: "less than 5", "3/5"."""
    inside = reading.between(*segment)
    counted = any(m.is_a("done") or m.is_a("exercise") for m in inside)
    pain = any(m.is_a("symptom") or m.is_a("rating") for m in inside)
    alone = not inside and reading.asked in _RATED_BY_A_BARE_NUMBER
    if number.role == "scale":
        return _praises(reading, number, segment)
    if number.role in ("fraction", "big"):
        return pain or (alone and not counted)
    return number.role == "unclear" and (pain or not counted)


def _timed(
    reading: Reading, number: Number, rated: Sequence[Number], segment: Range
) -> Rating:
    """The time word before a number governs it; trailing ones govern backward."""
    place = rated.index(number)
    low = rated[place - 1].end if place else segment[0]
    high = rated[place + 1].start if place + 1 < len(rated) else segment[1]
    before = _times(reading, low, number.start)
    after = _times(reading, number.end, high)
    trailing = _trails(reading, rated, segment)
    mark = (
        (after or before)
        if trailing
        else (before or (after if high == segment[1] else []))
    )
    past = number.past or any(m.is_a("time.before") or m.is_a("time.was") for m in mark)
    now = any(m.is_a("time.now") for m in mark)
    was = past and all(not m.is_a("time.before") for m in mark) and not number.past
    value = min(number.value, 10.0)
    return Rating(value, number.start, number.end, now or not past, now, was)


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
    for clause in reading.clauses:
        for segment in clause.segments:
            inside = reading.between(*segment)
            placed = any(m.is_a("area") or m.is_a("body") for m in inside)
            for mark in inside:
                if mark.is_a("symptom.none") and not placed and reading.real(mark):
                    found = found or mark
                if _hurts(reading, mark):
                    return None
                if _denies(reading, mark) and not placed:
                    found = found or mark
    return Rating(0.0, found.start, found.end, True, False) if found else None


def _answered_none(reading: Reading) -> Rating | None:
    """ "none" to how strong or how far is no pain at all."""
    if reading.asked not in ("pain", "reach"):
        return None
    for mark in reading.marks[:2]:
        if mark.is_a("answer.no") and mark.start == 0:
            return Rating(0.0, mark.start, mark.end, True, False)
    return None


def _hurts(reading: Reading, mark: Mark) -> bool:
    pain = mark.is_a("symptom.pain") or mark.is_a("symptom.sore")
    return pain and reading.stated(mark) and not mark.is_a("symptom.none")


def _denies(reading: Reading, mark: Mark) -> bool:
    pain = mark.is_a("symptom.pain") or mark.is_a("symptom.sore")
    return pain and reading.scopes.negator[mark.start] >= 0 and reading.real(mark)
