"""Numbers a dictating phone heard as common words: "pain level for"."""

from reminders.logic.reply.figures import Number, out_of
from reminders.logic.reply.marks import Mark
from reminders.logic.reply.network import bits_of
from reminders.logic.reply.reading import Reading

_AFTER_A_NUMBER = bits_of(
    ("time.now", "scope.contrast", "scope.and", "number.since", "polite", "emoji")
)


def dictated(reading: Reading, starts: dict[int, Mark], at: int) -> Number | None:
    """ "pain for out of ten": a dictated four, believed only before a scale."""
    mark = starts.get(at)
    value = mark.value("dictated") if mark else None
    if not mark or value is None:
        return None
    outof = out_of(reading, starts, mark.end)
    if outof:
        return Number(float(value), at, outof, "scale")
    if not _is_dictated(reading, mark):
        return None
    return Number(float(value), at, mark.end, "dictated")


def _is_dictated(reading: Reading, mark: Mark) -> bool:
    """ "the pain is about for", "level won": led to as a number is, and then a stop."""
    if not _stops_at(reading, mark.end):
        return False
    near = reading.nested.between(max(0, mark.start - 5), mark.start)
    last = [m for m in near if m.end == mark.start]
    pain = any(m.is_a("symptom.pain") or m.is_a("rating") for m in near)
    if any(m.is_a("dictating.sure") for m in last):
        return True
    if any(m.is_a("dictating.fair") for m in last):
        return pain
    own = reading.nested.between(mark.start, mark.end)
    rare = any(m.is_a("dictating.rare") for m in own)
    return rare and any(m.is_a("symptom.pain") for m in last)


def _stops_at(reading: Reading, at: int) -> bool:
    """The text, a clause or what is said of the number ends before this token."""
    if at >= len(reading.tokens) or reading.tokens[at].kind == "sign":
        return True
    following = reading.between(at, at + 1)
    return any(m.is_any(_AFTER_A_NUMBER) for m in following)
