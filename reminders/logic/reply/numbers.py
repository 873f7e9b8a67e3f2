"""Numbers in a text and what each one is by its position, not by being a number."""

from reminders.logic.reply.clauses import Placed
from reminders.logic.reply.dictation import dictated
from reminders.logic.reply.figures import TOP, Number, out_of, recast, value_at
from reminders.logic.reply.marks import Mark
from reminders.logic.reply.ranges import joined
from reminders.logic.reply.reading import Reading

__all__ = ["Number", "read_numbers", "value_at"]

_FIGURES, _MIDNIGHT, _SIXTY, _PAIR = 4, 2400, 60, 2
# "an eight" is a rating anywhere; "one bit better" and French "un peu" are not.
_ALSO_ARTICLES = frozenset({"one", "un", "una", "une", "uno"})
# No rating: "down to a one" is, "parler à une machine" is not.
_NOUNS_NEXT = frozenset({"una", "une"})


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
    return Placed(joined(reading, starts, out))


def _number_at(
    reading: Reading, starts: dict[int, Mark], ends: dict[int, Mark], at: int
) -> Number | None:
    value = value_at(reading, at)
    end = at + 1
    if value is not None and _inside_a_phrase(reading, at):
        return None
    if value is None:
        return dictated(reading, starts, at)
    half = starts.get(end)
    if half and half.is_a("number.half"):
        value, end = value + 0.5, half.end
    outof = out_of(reading, starts, end)
    if outof and _counts(starts.get(outof)):
        counted = starts[outof].value("unit")
        return Number(value, at, outof, "fraction", of=TOP, unit=counted)
    if outof:
        return Number(min(value, TOP), at, outof, "scale")
    text = reading.tokens[at].text
    article = at > 0 and reading.tokens[at - 1].text == "a" and text not in _NOUNS_NEXT
    faint = text in _ALSO_ARTICLES and not article
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


def _by_neighbors(
    reading: Reading, starts: dict[int, Mark], ends: dict[int, Mark], number: Number
) -> Number:
    after, before = starts.get(number.end), ends.get(number.start)
    fraction = _fraction(reading, starts, number)
    if fraction:
        return fraction
    if _is_clock_or_date(reading, number):
        return recast(number, "other")
    if _is_plural(reading, number):
        return recast(number, "other")
    chained = _chained(reading, starts, number)
    if chained:
        return chained
    unit = after.value("unit") if after else None
    if after and after.is_a("time.long_ago"):
        unit = "days"
    if unit:
        return recast(number, "count", end=after.end if after else 0, unit=unit)
    if before and before.is_a("label") and not number.faint:
        return recast(number, "count", unit=before.value("label"))
    if _follows_sets(reading, number.start):
        return recast(number, "count", unit="reps")
    if before and reading.tokens[before.start].text == "x":
        return recast(number, "count", unit="by")
    return recast(number, _plain_role(reading, before, after, number))


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
    low = max(0, number.start - 4)
    leading = reading.nested.between(low, number.start)
    if any(m.is_a("number.at_most") and m.end == number.start for m in leading):
        return "unclear"
    if number.start and tokens[number.start].glued and _minus(reading, number.start):
        return "unclear"
    if number.value > TOP:
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
        return recast(number, "other", end=min(joint + 3, len(tokens)))
    outof = out_of(reading, starts, joint + 1)
    if outof and number.value <= TOP and not _counts(starts.get(outof)):
        return Number(min(max(number.value, whole), TOP), number.start, outof, "scale")
    counted = starts.get(joint + 1)
    unit = counted.value("unit") if counted else None
    return Number(
        number.value, number.start, joint + 1, "fraction", of=whole, unit=unit
    )


def _is_clock_or_date(reading: Reading, number: Number) -> bool:
    tokens = reading.tokens
    after, before = number.end, number.start - 1
    if _is_military(reading, number):
        return True
    for sign, other in ((after, after + 1), (before, before - 1)):
        inside = 0 <= sign < len(tokens) and 0 <= other < len(tokens)
        if inside and tokens[sign].text == ":" and tokens[other].kind == "number":
            return tokens[max(sign, other, number.start)].glued
    return False


def _is_military(reading: Reading, number: Number) -> bool:
    """ "0700: 5": four figures before a colon are an hour."""
    text = reading.tokens[number.start].text
    hour = len(text) == _FIGURES and text.isdigit() and number.value % 100 < _SIXTY
    after = reading.tokens[number.end : number.end + 1]
    return hour and number.value < _MIDNIGHT and bool(after) and after[0].text == ":"


def _is_plural(reading: Reading, number: Number) -> bool:
    """ "two numb legs" are counted; in "2 legs" too, but "4 calves" rates them."""
    after = reading.nested.between(number.end, number.end + 1)
    if any(m.is_a("symptom") for m in after):
        after = reading.nested.between(number.end, number.end + 2)
    word = reading.tokens[number.start].kind == "word" or number.value == _PAIR
    several = number.value > 1 and word
    return several and any(m.is_a("plural.legs") for m in after)


def _chained(
    reading: Reading, starts: dict[int, Mark], number: Number
) -> Number | None:
    """ "3 by 10", "10 reps by 3", "30s x 5": by is as good as x between counts."""
    tokens = reading.tokens
    joint = number.start - 1
    if joint > 0 and tokens[joint].text in ("by", "*"):
        before = reading.between(max(0, joint - 1), joint)
        counted = any(m.is_a("unit.reps") or m.is_a("unit.sets") for m in before)
        if counted or value_at(reading, joint - 1) is not None:
            return recast(number, "count", unit="by")
    named = _named_dose(reading, number)
    if named:
        return named
    by = number.end + 1 < len(tokens) and tokens[number.end].text in ("by", "*")
    if by and value_at(reading, number.end + 1) is not None:
        later = starts.get(number.end + 2)
        timed = later is not None and later.is_a("unit.clock")
        return (
            None if timed else recast(number, "count", end=number.end + 1, unit="times")
        )
    return _counted_each(reading, starts, number)


def _named_dose(reading: Reading, number: Number) -> Number | None:
    """ "sets: 3, reps: 10": the name leads, and no number has it already."""
    tokens, end = reading.tokens, number.start
    if end and tokens[end - 1].text in (":", "="):
        end -= 1
    for mark in reading.between(max(0, end - 1), end):
        unit = mark.value("unit")
        if unit in ("reps", "sets") and not _is_dosed(reading, mark):
            return recast(number, "count", unit=unit)
    return None


def _is_dosed(reading: Reading, mark: Mark, depth: int = 3) -> bool:
    """ "3 sets 10", "set 1": the unit has its number; in "sets 3 reps 10" not yet."""
    if mark.is_a("label"):
        return True
    if mark.start == 0 or value_at(reading, mark.start - 1) is None:
        return False
    earlier = reading.between(max(0, mark.start - 2), mark.start - 1)
    units = [m for m in earlier if m.is_a("unit")]
    return not units or depth == 0 or not _is_dosed(reading, units[-1], depth - 1)


def _counted_each(
    reading: Reading, starts: dict[int, Mark], number: Number
) -> Number | None:
    """ "10 each side", "did ten of each"; "pain 5 each side" is a rating."""
    after = starts.get(number.end)
    if after is None or not after.is_a("each"):
        return None
    near = reading.between(max(0, number.start - 4), number.start)
    if any(m.is_a("symptom") or m.is_a("rating") for m in near):
        return None
    return recast(number, "count", end=after.end, unit="reps")
