"""What is told of sessions in long phrases and patterns, beside the facts in them."""

from dataclasses import dataclass

from reminders.logic.reply.clauses import Range
from reminders.logic.reply.marks import Mark
from reminders.logic.reply.network import bits_of
from reminders.logic.reply.reading import Reading

_VALUES = {
    "done": "done",
    "after": "done",
    "skipped": "skipped",
    "partly": "partly",
    "share": "partly",
    "alone": "done",
    "missed_alone": "skipped",
}
ASKED_WHETHER_DONE = (None, "session", "done")
_ALONE = frozenset({"alone", "missed_alone"})
_LIGHT = bits_of(("polite", "filler.it", "time", "emoji", "who.self", "answer"))
_ACTS = bits_of(("act",))
_EXCEPTING = bits_of(("act.excepting",))
LATER = bits_of(("done.later", "act.later"))
ELSEWHEN = LATER | bits_of(("time.before",))
CLINICAL = bits_of(("symptom", "area", "change", "state", "question", "body"))


@dataclass(frozen=True, slots=True)
class Completion:
    """done, partly or skipped, said by tokens `start` up to `end`."""

    value: str
    start: int
    end: int


def told(reading: Reading) -> list[Completion]:
    """What long phrases and patterns say, which stand beside the facts in them."""
    if not reading.bits & _ACTS:
        return []
    out = [*_by_sign(reading), *_by_phrase(reading)]
    return out


def _by_sign(reading: Reading) -> list[Completion]:
    found = (f for f in reading.signs if f.sign.kind == "session")
    return [
        Completion(f.sign.yields, f.start, f.end)
        for f in found
        if not (f.past or f.imagined or f.clause.asks)
        and not (f.denied and f.sign.yields == "done")
        and _mine(reading, f.start)
        and not put_off(reading, f.start)
    ]


def _by_phrase(reading: Reading) -> list[Completion]:
    out = []
    for clause in reading.clauses:
        for start, end in clause.segments if not clause.asks else ():
            for mark in reading.nested.between(start, end):
                value = mark.value("act")
                if value not in _VALUES or not real(reading, mark):
                    continue
                if value in _ALONE and not _is_all(reading, mark, (start, end)):
                    continue
                if value in _ALONE and reading.asked not in ASKED_WHETHER_DONE:
                    continue
                if put_off(reading, mark.start):
                    continue
                if _misplaced(reading, mark, (start, end)):
                    continue
                out.append(Completion(_VALUES[value], mark.start, mark.end))
    return out


def _is_all(reading: Reading, mark: Mark, segment: Range) -> bool:
    """ "in the bag": nothing but courtesies stands beside it."""
    beside = reading.between(segment[0], segment[1])
    light = [m for m in beside if m.is_any(_LIGHT)]
    read = {at for m in [mark, *light] for at in range(m.start, m.end)}
    words = (at for at in range(*segment) if reading.tokens[at].kind == "word")
    return read.issuperset(words)


def _misplaced(reading: Reading, mark: Mark, segment: Range) -> bool:
    """ "most of it is in my calf", "the foot wont do it", what is denied or planned."""
    if mark.is_a("act.share") or mark.is_a("act.done"):
        after = reading.between(mark.end, min(mark.end + 5, segment[1]))
        if any(m.is_a("area") for m in after):
            return True
    if mark.is_a("act.skipped"):
        before = reading.between(max(0, mark.start - 1), mark.start)
        if any(m.is_a("area") or m.is_a("body") for m in before):
            return True
    if mark.is_a("act.done") or mark.is_a("act.after"):
        denied = reading.scopes.negator[mark.start] >= 0
        return denied or planned(reading, mark.start, segment[0])
    return False


def put_off(reading: Reading, at: int) -> bool:
    """A segment of plans, or of another day, says nothing of this session."""
    if not reading.bits & ELSEWHEN:
        return False
    for clause in reading.clauses:
        for start, end in clause.segments if clause.start <= at < clause.end else ():
            if start <= at < end:
                return any(is_elsewhen(m) for m in reading.nested.between(start, end))
    return False


def is_elsewhen(mark: Mark) -> bool:
    if mark.is_any(LATER):
        return True
    return mark.is_a("time.before") and not mark.is_a("time.earlier")


def excepted(reading: Reading) -> list[Completion]:
    """ "did all but the last one"; in "all done but the calf is sore" nothing is."""
    out = []
    for mark in reading.nested if reading.bits & _EXCEPTING else ():
        if not mark.is_a("act.excepting"):
            continue
        before = reading.nested.between(max(0, mark.start - 3), mark.start)
        after = reading.nested.between(mark.end, mark.end + 3)
        told = any(m.is_any(CLINICAL) for m in after)
        whole = any(m.is_a("act.whole") for m in before)
        if whole and not told and any(m.is_a("act.piece") for m in after):
            out.append(Completion("partly", mark.start, mark.end))
    return out


def real(reading: Reading, mark: Mark) -> bool:
    """Said as a fact or its denial, of the sender."""
    scopes = reading.scopes
    other_time = scopes.past[mark.start] or scopes.imagined[mark.start]
    return not other_time and _mine(reading, mark.start)


def _mine(reading: Reading, at: int) -> bool:
    """ "cow had her calf so no exercises": only the subject right before counts."""
    if not reading.scopes.other[at]:
        return True
    near = reading.between(max(0, at - 3), at)
    last = max((m.end for m in near if m.is_a("who.other")), default=-1)
    return last < 0 or any(token.kind == "sign" for token in reading.tokens[last:at])


def planned(reading: Reading, at: int, start: int) -> bool:
    """ "ill get em done", "when I do them": a plan or a time leads right to it."""
    near = reading.nested.between(max(start, at - 3), at)
    return any(m.is_a("act.plan") and m.end == at for m in near)
