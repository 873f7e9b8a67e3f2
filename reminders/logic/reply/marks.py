"""Phrases of the vocabulary found in the tokens: longest first, never overlapping."""

from collections.abc import Iterable
from typing import NamedTuple

from reminders.logic.reply.lexicon import Lexicon
from reminders.logic.reply.network import Kind, bits_of
from reminders.logic.reply.tokens import Token

_IDIOM = bits_of(("harmless",))


class Mark(NamedTuple):
    """Tokens `start` up to `end` carry the concepts of `kind`.

    A named tuple, not a frozen dataclass: hundreds are made for one text.
    """

    start: int
    end: int
    kind: Kind

    @property
    def concepts(self) -> tuple[str, ...]:
        """Full names: area.foot."""
        return self.kind.concepts

    @property
    def names(self) -> frozenset[str]:
        """Full names and those of their tables: area.foot, area."""
        return self.kind.names

    def is_a(self, name: str) -> bool:
        """Whether it carries a concept (area.foot) or any of a table (area)."""
        return name in self.kind.names

    def is_any(self, bits: int) -> bool:
        """Whether it carries any of a set of names, given as `bits_of` them."""
        return self.kind.bits & bits != 0

    def value(self, table: str) -> str | None:
        """The key of the first concept of a table: foot for area.foot."""
        return self.kind.values.get(table)


def bits_in(marks: Iterable[Mark]) -> int:
    """Every name any of the marks carries, as `bits_of` them."""
    bits = 0
    for mark in marks:
        bits |= mark.kind.bits
    return bits


def find_marks(
    tokens: tuple[Token, ...], words: Lexicon
) -> tuple[list[Mark], list[Mark]]:
    """Marks in order of place, and every phrase, also those inside longer ones.

    Facts are read from the first, signs from the second: "cant feel my" must not
    hide the "cant feel" of a sign. Linear: the vocabulary bounds a phrase.
    """
    marks: list[Mark] = []
    nested: list[Mark] = []
    texts = [token.text for token in tokens]
    count, free = len(texts), 0
    root = words.root
    for at, text in enumerate(texts):
        node = root.step(text)
        longest = None
        end = at
        while node is not None:
            end += 1
            if node.sign is not None:
                nested.append(Mark(at, end, node.sign))
            if node.fact is not None:
                longest = Mark(at, end, node.fact)
            node = node.step(texts[end]) if end < count else None
        if longest is not None and at >= free:
            marks.append(longest)
            free = longest.end
    return marks, _without_idioms(nested)


def _without_idioms(nested: list[Mark]) -> list[Mark]:
    """Less the phrases that end inside an idiom: no chest in "chest of drawers"."""
    idioms = [mark for mark in nested if mark.is_any(_IDIOM)]
    if not idioms:
        return nested
    until: dict[int, int] = {}
    for idiom in idioms:
        for at in range(idiom.start, idiom.end):
            until[at] = max(idiom.end, until.get(at, 0))
    return [
        mark
        for mark in nested
        if mark.is_any(_IDIOM) or until.get(mark.end - 1, 0) < mark.end
    ]
