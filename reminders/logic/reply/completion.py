"""Whether the session was done, partly done or skipped."""

from collections.abc import Sequence

from reminders.logic.reply.acts import (
    ELSEWHEN,
    Completion,
    excepted,
    is_elsewhen,
    planned,
    real,
    told,
)
from reminders.logic.reply.answers import ANSWERED_BY_YES_OR_NO, read_answer
from reminders.logic.reply.clauses import Range
from reminders.logic.reply.marks import Mark
from reminders.logic.reply.network import bits_of
from reminders.logic.reply.numbers import Number
from reminders.logic.reply.reading import Reading

_OF_SESSIONS = bits_of(("act.later", "act.skipped", "done.later", "done.skipped"))
_WHOLE = 100
_DONE = bits_of(("done",))
_OBJECTS = bits_of(("exercise", "act.object", "time"))


def read_completion(reading: Reading, numbers: Sequence[Number]) -> Completion | None:
    """Done and skipped in one text is partly; a plain yes or no counts if asked."""
    said = [*_fractions(reading, numbers), *_said(reading), *told(reading)]
    said = _settled(sorted(said, key=lambda each: each.start))
    if reading.asked in ("reach", "safety"):
        said = [each for each in said if each.value != "partly"]
    values = {each.value for each in said}
    if "partly" in values or values >= {"done", "skipped"}:
        chosen = [each for each in said if each.value == "partly"] or said
        caught_up = "partly" not in values and _made_up(reading, said)
        value = "done" if caught_up else "partly"
        return Completion(value, chosen[0].start, chosen[-1].end)
    if said:
        return said[0]
    return read_answer(reading)


def speaks_of_sessions(reading: Reading) -> bool:
    """Whether a session is put off, or one of another day is told of."""
    return bool(reading.bits & _OF_SESSIONS)


def _made_up(reading: Reading, said: Sequence[Completion]) -> bool:
    """ "missed this morning's, caught up at noon": the later one made up for it."""
    last = said[-1]
    skips = [each for each in said if each.value == "skipped"]
    times = reading.between(skips[-1].start, last.start)
    timed = any(mark.is_a("time") or mark.is_a("scope.contrast") for mark in times)
    return timed and last.value == "done" and skips[-1].start < last.start


def _settled(said: Sequence[Completion]) -> list[Completion]:
    """ "no exercises done": a done inside or right after what undoes it is none."""
    undone = [each for each in said if each.value != "done"]
    return [
        each
        for each in said
        if each.value != "done"
        or not any(each.start <= u.end and u.start < each.end for u in undone)
    ]


def _said(reading: Reading) -> list[Completion]:
    out: list[Completion] = []
    if not reading.bits & _DONE:
        return out
    for clause in reading.clauses:
        for segment in clause.segments:
            inside = reading.between(*segment)
            if clause.asks or _elsewhen(reading, segment):
                continue
            for mark in inside:
                value = _value(reading, mark, segment)
                if value:
                    out.append(Completion(value, mark.start, mark.end))
    return out


def _elsewhen(reading: Reading, segment: Range) -> bool:
    if not reading.bits & ELSEWHEN:
        return False
    return any(is_elsewhen(mark) for mark in reading.nested.between(*segment))


def _value(reading: Reading, mark: Mark, segment: Range) -> str | None:
    value = mark.value("done")
    if value is None or not real(reading, mark) or value == "later":
        return None
    if reading.tokens[mark.start].text == "emojidone":
        return "done" if reading.asked in ANSWERED_BY_YES_OR_NO else None
    denied = _is_denied(reading, mark) or _unable(reading, mark)
    if value == "did" and _refused(reading, mark):
        return None
    if value in ("did", "bare", "done") and _is_chore(reading, mark, segment):
        return None
    if value == "bare" and not (denied and _has_object(reading, mark, segment)):
        return "done" if _is_habit(reading, mark, segment) else None
    if not denied and value == "done" and planned(reading, mark.start, segment[0]):
        return None
    if value == "did" and denied and not _has_object(reading, mark, segment):
        return None
    value = "done" if value in ("did", "bare") else value
    if not denied:
        return value
    near = reading.nested.between(mark.start, mark.start + 1)
    if value == "partly" and any(m.is_a("act.missing") for m in near):
        return "done"
    return {"done": "skipped", "skipped": "done"}.get(value, value)


def _refused(reading: Reading, mark: Mark) -> bool:
    """ "I did not": the denial comes after, and what is denied after that."""
    near = reading.nested.between(mark.start, mark.end)
    return any(m.is_a("act.refusal") and m.end > mark.end for m in near)


def _is_denied(reading: Reading, mark: Mark) -> bool:
    """A "no" right before is an answer: "no not today", "no skipped it"."""
    cue = reading.scopes.negator[mark.start]
    if cue >= 0 and _is_half(reading, cue, mark):
        return False
    answers = reading.between(cue, mark.start) if cue >= 0 else ()
    return cue >= 0 and not any(
        m.is_a("answer.no") and m.end == mark.start for m in answers
    )


def _is_half(reading: Reading, cue: int, mark: Mark) -> bool:
    """The "ne" of "je n'ai rien fait" denies no second time what says so itself."""
    alone = reading.words.facts
    words = (reading.tokens[at].text for at in range(mark.start, mark.end))
    half = "neg.half" in alone(reading.tokens[cue].text)
    return half and any("neg.part" in alone(each) for each in words)


def _is_chore(reading: Reading, mark: Mark, segment: Range) -> bool:
    """ "did the shopping", "finished work": another thing was done."""
    if any(
        m.is_a("act.object") for m in reading.nested.between(mark.end - 1, mark.end)
    ):
        return False
    near = reading.nested.between(mark.start, min(mark.end + 2, segment[1]))
    chores = [m for m in near if m.is_a("act.chore")]
    return bool(chores) and not any(m.is_a("exercise") for m in near)


def _has_object(reading: Reading, mark: Mark, segment: Range) -> bool:
    """ "didnt do them", "not doing any": not "I do not understand"."""
    following = reading.between(mark.end, mark.end + 1)
    if any(m.is_a("time.before") for m in following):
        return False
    if mark.end - mark.start > 1 or mark.end >= segment[1]:
        return True
    near = reading.nested.between(mark.end, min(mark.end + 3, segment[1]))
    return any(m.is_any(_OBJECTS) for m in near)


def _is_habit(reading: Reading, mark: Mark, segment: Range) -> bool:
    """ "been doing them", "I always do it"."""
    low = max(segment[0], mark.start - 3)
    near = reading.nested.between(low, mark.start)
    habit = any(m.is_a("act.habit") for m in near)
    return habit and _has_object(reading, mark, segment)


def _unable(reading: Reading, mark: Mark) -> bool:
    """ "couldnt do them": the inability stands right before."""
    near = reading.nested.between(max(0, mark.start - 3), mark.start)
    return any(m.is_a("fail.cannot") and m.end == mark.start for m in near)


def _fractions(reading: Reading, numbers: Sequence[Number]) -> list[Completion]:
    """ "did 3 of 5", "2/3 done": some of the exercises, when exercises are meant."""
    out = [*_percents(reading, numbers), *excepted(reading)]
    for number in numbers:
        if number.role != "fraction" or not number.of or number.value > number.of:
            continue
        near = reading.between(max(0, number.start - 4), number.end + 4)
        if any(mark.is_a("done") or mark.is_a("exercise") for mark in near):
            value = "done" if number.value == number.of else "partly"
            value = value if number.value else "skipped"
            out.append(Completion(value, number.start, number.end))
    return out


def _percents(reading: Reading, numbers: Sequence[Number]) -> list[Completion]:
    """ "about 80% done"."""
    out = []
    for number in numbers:
        sign = reading.tokens[number.start + 1 : number.start + 2]
        near = reading.between(max(0, number.start - 4), number.end + 4)
        doing = any(mark.is_a("done") or mark.is_a("exercise") for mark in near)
        if doing and sign and sign[0].text == "%" and number.value:
            value = "partly" if number.value < _WHOLE else "done"
            out.append(Completion(value, number.start, number.end))
    return out
