"""Tokens cut into clauses (by stops and contrast words) and clauses into segments."""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol, TypeVar

from reminders.logic.reply.marks import Mark, bits_in
from reminders.logic.reply.network import bits_of
from reminders.logic.reply.tokens import Token

Range = tuple[int, int]
_COMMAS = frozenset({",", "+", "&"})
_WAS, _NOW = bits_of(("time.was", "time.before")), bits_of(("time.now",))
_DONE = bits_of(("done",))
_CONTRAST = bits_of(("scope.contrast",))
_AND = bits_of(("scope.and",))
_STOPS = frozenset({".", "!", "?", ";", "\n", "(", ")", "[", "]", "|"})
_ASSERTS = bits_of(
    ("symptom", "change", "state", "ailing", "move", "done", "verb", "body", "sign")
)


@dataclass(frozen=True, slots=True)
class Clause:
    """Tokens `start` up to `end`; `sentence` counts from 0; segments cover it."""

    start: int
    end: int
    sentence: int
    asks: bool
    segments: tuple[Range, ...]


class _HasStart(Protocol):
    @property
    def start(self) -> int: ...


_P = TypeVar("_P", bound=_HasStart)


class Placed(tuple[_P, ...]):
    """Things in order of their first token, with quick look-up by place."""

    starts: list[int]

    def __new__(cls, things: Iterable[_P]) -> "Placed[_P]":
        """Things already in order."""
        placed = super().__new__(cls, tuple(things))
        placed.starts = [each.start for each in placed]
        return placed

    def between(self, start: int, end: int) -> tuple[_P, ...]:
        """Those that begin at tokens `start` up to `end`."""
        starts = self.starts
        low = bisect_left(starts, start)
        return self[low : bisect_left(starts, end, low)]


def cut(tokens: Sequence[Token], marks: Placed[Mark]) -> tuple[Clause, ...]:
    """Clauses in order. A contrast word belongs to none: it only divides."""
    contrast = {m.start: m.end for m in marks if m.is_any(_CONTRAST)}
    out: list[Clause] = []
    start = at = sentence = first = 0
    while at <= len(tokens):
        stop = at == len(tokens) or _is_stop(tokens, at)
        if stop or at in contrast:
            if start < at:
                parts = tuple(_segments(tokens, marks, start, at))
                out.append(Clause(start, at, sentence, False, parts))
            start = at + 1 if stop else contrast[at]
        if stop:
            asks = at < len(tokens) and tokens[at].text == "?"
            out[first:] = [_asking(each, asks) for each in out[first:]]
            first = len(out)
            sentence += 1
        at = max(start, at + 1)
    return tuple(out)


def _asking(clause: Clause, asks: bool) -> Clause:
    return Clause(clause.start, clause.end, clause.sentence, asks, clause.segments)


def _is_stop(tokens: Sequence[Token], at: int) -> bool:
    token = tokens[at]
    if token.text in _STOPS or token.text.startswith(".."):
        return True
    return token.text == "-" and _stands_alone(tokens, at)


def _stands_alone(tokens: Sequence[Token], at: int) -> bool:
    """A dash between words divides; between numbers it is a range."""
    before = at > 0 and tokens[at - 1].kind == "number"
    after = at + 1 < len(tokens) and tokens[at + 1].kind == "number"
    spaced = at + 1 < len(tokens) and not tokens[at + 1].glued
    return spaced and not (before and after)


def _segments(
    tokens: Sequence[Token], marks: Placed[Mark], start: int, end: int
) -> list[Range]:
    """Cut at commas, and at "and" where both sides say something.

    Also before the "now" of "was in the calf now it's in my bum".
    """
    out: list[Range] = []
    edges = [k for k in range(start, end) if tokens[k].text in _COMMAS]
    if edges:
        long = (m for m in marks.between(start, end) if m.end - m.start > 1)
        inner = {k for m in long for k in range(m.start, m.end)}
        inner |= {m.start for m in marks.between(start, end)}
        edges = [k for k in edges if k not in inner]
    low = start
    turns = _turns_to_now(marks, start, end)
    for high in sorted({*edges, *turns, end}):
        out.extend(_split_and(tokens, marks, low, high))
        low = high if high in turns else high + 1
    return [each for each in out if each[0] < each[1]]


def _turns_to_now(marks: Placed[Mark], start: int, end: int) -> set[int]:
    """Where what is now begins, after a place of before and with one of its own."""
    inside = marks.between(start, end)
    said = bits_in(inside)
    if not (said & _WAS and said & _NOW):
        return set()
    areas = [m.start for m in inside if m.is_a("area")]
    was = [m.start for m in inside if m.is_any(_WAS)]
    nows = [m.start for m in inside if m.is_a("time.now")]
    if said & _DONE and not areas:
        told = [m.start for m in inside if m.is_any(_DONE)]
        return {at for at in nows if was[0] < at and told[0] < at < told[-1]}
    if not areas:
        return set()
    return {
        at
        for at in nows
        if was[0] < at and areas[0] < at < areas[-1] and was[0] < areas[-1]
    }


def _split_and(
    tokens: Sequence[Token], marks: Placed[Mark], low: int, high: int
) -> list[Range]:
    inside = marks.between(low, high)
    joints = [mark for mark in inside if mark.is_any(_AND)]
    if not joints:
        return [(low, high)]
    says = [at for at in range(low, high) if tokens[at].kind == "number"]
    says += [mark.start for mark in inside if mark.is_any(_ASSERTS)]
    says.sort()
    out: list[Range] = []
    start = low
    for number, joint in enumerate(joints):
        until = joints[number + 1].start if number + 1 < len(joints) else high
        if _any(says, start, joint.start) and _any(says, joint.end, until):
            out.append((start, joint.start))
            start = joint.end
    return [*out, (start, high)]


def _any(ordered: list[int], low: int, high: int) -> bool:
    at = bisect_left(ordered, low)
    return at < len(ordered) and ordered[at] < high
