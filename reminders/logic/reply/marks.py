"""Phrases of the vocabulary found in the tokens: longest first, never overlapping."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from reminders.logic.reply.lexicon import Lexicon
from reminders.logic.reply.tokens import Token

Phrases = Mapping[tuple[str, ...], tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Mark:
    """Tokens `start` up to `end` carry these concepts."""

    start: int
    end: int
    concepts: tuple[str, ...]
    names: frozenset[str]

    def is_a(self, name: str) -> bool:
        """Whether it carries a concept (area.foot) or any of a table (area)."""
        return name in self.names

    def value(self, table: str) -> str | None:
        """The key of the first concept of a table: foot for area.foot."""
        for each in self.concepts:
            if each.startswith(table + "."):
                return each[len(table) + 1 :]
        return None


def find_marks(tokens: tuple[Token, ...], words: Lexicon) -> list[Mark]:
    """Marks in order of place. Linear: a phrase is bounded by the vocabulary."""
    marks = []
    at = 0
    while at < len(tokens):
        mark = _longest_at(tokens, at, words)
        if mark:
            marks.append(mark)
            at = mark.end
        else:
            at += 1
    return marks


def find_all(tokens: tuple[Token, ...], words: Lexicon) -> list[Mark]:
    """Every phrase at every token, also inside longer ones; ordered by place.

    Signs look here: "cant feel my" must not hide the "cant feel" of a sign.
    """
    marks = []
    for at, token in enumerate(tokens):
        for length in range(1, words.longest.get(token.text, 0) + 1):
            mark = _mark(tokens, at, length, words.every_phrase)
            if mark:
                marks.append(mark)
    return marks


def _longest_at(tokens: tuple[Token, ...], at: int, words: Lexicon) -> Mark | None:
    for length in range(words.longest.get(tokens[at].text, 0), 0, -1):
        mark = _mark(tokens, at, length, words.phrases)
        if mark:
            return mark
    return None


def _mark(
    tokens: tuple[Token, ...], at: int, length: int, phrases: Phrases
) -> Mark | None:
    phrase = tuple(token.text for token in tokens[at : at + length])
    concepts = phrases.get(phrase) if len(phrase) == length else None
    if not concepts:
        return None
    return Mark(at, at + length, concepts, _names(concepts))


@cache
def _names(concepts: tuple[str, ...]) -> frozenset[str]:
    return frozenset((*concepts, *(each.partition(".")[0] for each in concepts)))
