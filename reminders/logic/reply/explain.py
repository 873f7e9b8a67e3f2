"""Every stage of one reading, as plain values: why a reply was read as it was."""

from collections.abc import Iterator, Sequence
from typing import Any

from reminders.logic.reply.normalize import fold
from reminders.logic.reply.numbers import read_numbers
from reminders.logic.reply.parsing import parse_reply
from reminders.logic.reply.reading import Reading, readings
from reminders.logic.reply.signs import Found
from reminders.logic.reply.storage import to_json
from reminders.logic.reply.tokens import Token, tokenize


def explain(
    text: str, *, language: str = "en", asked: str | None = None
) -> dict[str, Any]:
    """The stages in order, JSON-ready: folded text, tokens, readings, the reply.

    Arguments as for `parse_reply`, and like it this takes any string. There is one
    reading for the main language and one for each part of the text that another
    language may add a sign or a request to.
    """
    folded = fold(text)
    tokens = tokenize(folded)
    every = readings(tokens, language, asked)
    return {
        "folded": folded.text,
        "tokens": [token.text for token in tokens],
        "readings": [_reading(each, tokens) for each in every],
        "reply": to_json(parse_reply(text, language=language, asked=asked)),
    }


def _reading(reading: Reading, written: Sequence[Token]) -> dict[str, Any]:
    return {
        "language": reading.words.language,
        "mended": list(_mended(reading, written)),
        "phrases": [
            [_words(reading, mark.start, mark.end), list(mark.concepts)]
            for mark in reading.marks
        ],
        "clauses": [
            {
                "asks": clause.asks,
                "segments": [_words(reading, *each) for each in clause.segments],
            }
            for clause in reading.clauses
        ],
        "scopes": _scopes(reading),
        "numbers": [
            [_words(reading, each.start, each.end), each.role]
            for each in read_numbers(reading)
        ],
        "signs": [_sign(reading, found) for found in reading.signs],
    }


def _mended(reading: Reading, written: Sequence[Token]) -> Iterator[list[str]]:
    """Pairs of what stands in the text and what it was taken for."""
    at_start = {token.start: token.text for token in written}
    for token in reading.tokens:
        was = at_start.get(token.start)
        if was is not None and was != token.text:
            yield [was, token.text]


def _scopes(reading: Reading) -> dict[str, list[str]]:
    """Scope -> the words it holds over; a scope over nothing is left out."""
    scopes = reading.scopes
    over = {
        "denied": [cue >= 0 for cue in scopes.negator],
        "past": scopes.past,
        "imagined": scopes.imagined,
        "other_person": scopes.other,
    }
    tokens = reading.tokens
    return {
        name: [tokens[at].text for at, holds in enumerate(held) if holds]
        for name, held in over.items()
        if any(held)
    }


def _sign(reading: Reading, found: Found) -> dict[str, Any]:
    """A sign that was found, and what keeps it from being asserted, if anything."""
    silenced = [
        name for name in ("denied", "past", "imagined", "other") if getattr(found, name)
    ]
    return {
        "kind": found.sign.kind,
        "yields": found.sign.yields,
        "words": _words(reading, found.start, found.end),
        "silenced_by": silenced,
    }


def _words(reading: Reading, start: int, end: int) -> str:
    return " ".join(token.text for token in reading.tokens[start:end])
