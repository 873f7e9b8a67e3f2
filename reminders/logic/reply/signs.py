"""Signs: concepts of the vocabulary standing together, as its patterns say."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations
from typing import TYPE_CHECKING

from reminders.logic.reply.clauses import Clause
from reminders.logic.reply.lexicon import Sign
from reminders.logic.reply.marks import Mark

if TYPE_CHECKING:
    from reminders.logic.reply.reading import Reading

_SUBJECT = 4  # so many words before a sign is what it is said of


@dataclass(frozen=True, slots=True)
class Found:
    """A sign seen in a reading: its marks, and in what scope they stand."""

    sign: Sign
    marks: tuple[Mark, ...]
    clause: Clause
    denied: bool
    past: bool
    imagined: bool
    other: bool

    @property
    def asserted(self) -> bool:
        """Said of the client, of now, as a fact."""
        return not (self.denied or self.past or self.imagined or self.other)

    @property
    def start(self) -> int:
        """First token."""
        return min(mark.start for mark in self.marks)

    @property
    def end(self) -> int:
        """Token after the last."""
        return max(mark.end for mark in self.marks)


def all_signs(reading: "Reading") -> Iterator[Found]:
    """Every sign in every clause, silenced ones left out."""
    signs = reading.words.signs
    wide = [sign for sign in signs if sign.wide]
    for number, clause in enumerate(reading.clauses):
        yield from _signs_in(reading, signs, clause, clause.end)
        for after in reading.clauses[number + 1 : number + 2]:
            yield from _signs_in(reading, wide, clause, after.end)


def _signs_in(
    reading: "Reading", signs: Sequence[Sign], clause: Clause, end: int
) -> Iterator[Found]:
    marks = reading.nested.between(clause.start, end)
    bits = 0
    for mark in marks:
        bits |= mark.kind.bits
    for sign in signs:
        if not sign.parts[0] & bits or sign.unless & bits:
            continue
        if all(part & bits for part in sign.parts):
            yield from _matches(reading, sign, marks, clause)


def _matches(
    reading: "Reading", sign: Sign, marks: Sequence[Mark], clause: Clause
) -> Iterator[Found]:
    orders = permutations(sign.parts) if sign.free_order else (sign.parts,)
    for order in orders:
        for at, mark in enumerate(marks):
            if not order[0] & mark.kind.bits:
                continue
            chain = _chain(order, marks, at, sign.gap)
            if chain and not _of_a_thing(reading, sign, clause, chain):
                yield _scoped(reading, sign, chain, clause)


def _of_a_thing(
    reading: "Reading", sign: Sign, clause: Clause, chain: Sequence[Mark]
) -> bool:
    """ "the dog peed": what does it stands in or just before it, and "me" does not."""
    if not sign.subject:
        return False
    start = min(mark.start for mark in chain)
    end = max(mark.end for mark in chain)
    near = reading.nested.between(max(clause.start, start - _SUBJECT), end)
    if not any(sign.subject & mark.kind.bits for mark in near):
        return False
    return not any(m.is_a("who.self") for m in reading.between(start, end))


def _chain(
    order: tuple[int, ...], marks: Sequence[Mark], at: int, gap: int
) -> tuple[Mark, ...]:
    """Each part the nearest one after the last; a long phrase may be two parts."""
    chain = [marks[at]]
    for part in order[1:]:
        if _is_whole(chain[-1]) and part & chain[-1].kind.bits:
            chain.append(chain[-1])
            continue
        at = _next(part, marks, at, chain[-1].end + gap)
        if at < 0:
            return ()
        chain.append(marks[at])
    return tuple(chain)


def _is_whole(mark: Mark) -> bool:
    return mark.end - mark.start > 1


def _next(part: int, marks: Sequence[Mark], at: int, until: int) -> int:
    """Index of the first mark after `at` that is this part, or -1.

    It begins by token `until`, so the look ahead is bounded. It may overlap the
    mark before it: "cant feel" and "feel numb" share a word.
    """
    for index in range(at + 1, len(marks)):
        if marks[index].start > until:
            return -1
        if part & marks[index].kind.bits:
            return index
    return -1


def _outside(reading: "Reading", cue: int, own: set[int]) -> bool:
    """Whether the denial that starts at token `cue` is no part of the sign."""
    if cue < 0 or cue in own:
        return False
    marks = reading.between(cue, cue + 1)
    if _is_half(reading, cue):
        return not any(_denies(reading, at) for at in own)
    words = (at for mark in marks for at in range(mark.start, mark.end))
    return not any(at in own and _denies(reading, at) for at in words)


def _is_half(reading: "Reading", at: int) -> bool:
    """French "ne": with a second word of denial it makes one, not two."""
    return "neg.half" in reading.words.facts(reading.tokens[at].text)


def _denies(reading: "Reading", at: int) -> bool:
    """The word alone is a denial: the "no" of "ya no", not the rest of it."""
    alone = reading.words.facts(reading.tokens[at].text)
    return "neg.pre" in alone or "neg.part" in alone


def _scoped(
    reading: "Reading", sign: Sign, chain: tuple[Mark, ...], clause: Clause
) -> Found:
    """A denial inside the sign is part of it ("can't pee"), one outside denies it."""
    scopes = reading.scopes
    own = {at for mark in chain for at in range(mark.start, mark.end)}
    cues = {scopes.negator[mark.start] for mark in chain}
    return Found(
        sign=sign,
        marks=chain,
        clause=clause,
        denied=answered_no(reading, clause)
        or any(_outside(reading, cue, own) for cue in cues),
        past=not sign.ever and any(scopes.past[mark.start] for mark in chain),
        imagined=any(scopes.imagined[mark.start] for mark in chain),
        other=any(_of_someone(reading, mark) for mark in chain),
    )


def _of_someone(reading: "Reading", mark: Mark) -> bool:
    """What names me is about me; what names another is of who was named before."""
    inside = reading.between(mark.start, mark.end)
    if any(m.is_a("who.self") for m in inside):
        return False
    at = mark.start
    if any(m.is_a("who.other") for m in inside):
        return at > 0 and reading.scopes.other[at - 1]
    return reading.scopes.other[at]


def answered_no(reading: "Reading", clause: Clause) -> bool:
    """ "dark thoughts? no, dark coffee": asked and denied in one breath."""
    if not clause.asks:
        return False
    after = next((c.start for c in reading.clauses if c.start > clause.start), -1)
    said = reading.between(after, after + 1) if after >= 0 else ()
    return any(m.is_a("answer.no") and _ends_there(reading, m.end) for m in said)


def _ends_there(reading: "Reading", at: int) -> bool:
    """Nothing comes after the no, or only what it was instead: "nah just the heat"."""
    tokens = reading.tokens
    if at == len(tokens) or tokens[at].kind != "word":
        return True
    return any(m.is_a("pointer.only") for m in reading.between(at, at + 1))
