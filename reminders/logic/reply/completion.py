"""Whether the session was done, partly done or skipped."""

from collections.abc import Sequence
from dataclasses import dataclass

from reminders.logic.reply.marks import Mark
from reminders.logic.reply.numbers import Number
from reminders.logic.reply.reading import Reading

_ANSWERED_BY_YES_OR_NO = (None, "session", "done")


@dataclass(frozen=True, slots=True)
class Completion:
    """done, partly or skipped, said by tokens `start` up to `end`."""

    value: str
    start: int
    end: int


def read_completion(reading: Reading, numbers: Sequence[Number]) -> Completion | None:
    """Done and skipped in one text is partly; a plain yes or no counts if asked."""
    said = [*_fractions(reading, numbers), *_said(reading)]
    values = {each.value for each in said}
    if "partly" in values or values >= {"done", "skipped"}:
        chosen = [each for each in said if each.value == "partly"] or said
        return Completion("partly", chosen[0].start, chosen[-1].end)
    if said:
        return said[0]
    return _answer(reading)


def _said(reading: Reading) -> list[Completion]:
    out = []
    for clause in reading.clauses:
        for segment in clause.segments:
            inside = reading.between(*segment)
            earlier = any(m.is_a("time.before") or m.is_a("done.later") for m in inside)
            for mark in inside if not earlier else ():
                value = _value(reading, mark)
                if value and not clause.asks:
                    out.append(Completion(value, mark.start, mark.end))
    return out


def _value(reading: Reading, mark: Mark) -> str | None:
    value = mark.value("done")
    if value is None or not reading.real(mark) or value == "later":
        return None
    denied = reading.scopes.negator[mark.start] >= 0 or _unable(reading, mark)
    value = "done" if value == "did" else value
    if not denied:
        return value
    return {"done": "skipped", "skipped": "done"}.get(value, value)


def _unable(reading: Reading, mark: Mark) -> bool:
    """ "couldnt do them": the inability stands right before."""
    near = reading.nested.between(max(0, mark.start - 3), mark.start)
    return any(m.is_a("fail.cannot") and m.end == mark.start for m in near)


def _fractions(reading: Reading, numbers: Sequence[Number]) -> list[Completion]:
    """ "did 3 of 5", "2/3 done": some of the exercises, when exercises are meant."""
    out = []
    for number in numbers:
        if number.role != "fraction" or not number.of or number.value > number.of:
            continue
        near = reading.between(max(0, number.start - 4), number.end + 4)
        if any(mark.is_a("done") or mark.is_a("exercise") for mark in near):
            value = "done" if number.value == number.of else "partly"
            value = value if number.value else "skipped"
            out.append(Completion(value, number.start, number.end))
    return out


def _answer(reading: Reading) -> Completion | None:
    if reading.asked not in _ANSWERED_BY_YES_OR_NO:
        return None
    for mark in reading.marks[:3]:
        if mark.is_a("answer.yes") and _leads(reading, mark):
            return Completion("done", mark.start, mark.end)
        if mark.is_a("answer.no") and _leads(reading, mark) and _alone(reading, mark):
            return Completion("skipped", mark.start, mark.end)
    return None


def _leads(reading: Reading, mark: Mark) -> bool:
    """Only courtesies stand before it."""
    before = reading.between(0, mark.start)
    covered = sum(each.end - each.start for each in before)
    polite = all(each.is_a("polite") or each.is_a("filler") for each in before)
    signs = sum(token.kind != "word" for token in reading.tokens[: mark.start])
    return polite and covered + signs >= mark.start


def _alone(reading: Reading, mark: Mark) -> bool:
    """A no followed by a stop or nothing: "no pain" and "no it got worse" are not."""
    after = reading.tokens[mark.end : mark.end + 1]
    if not after or after[0].kind in ("sign", "number"):
        return True
    following = reading.between(mark.end, mark.end + 1)
    return any(m.is_a("polite") or m.is_a("answer.no") for m in following)
