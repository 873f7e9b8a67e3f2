"""The patterns phrases are written in: `a|b` is either word, `the?` may be left out,
`a_few|most` binds words inside a choice and `;` parts whole phrases.
"""

import itertools
from collections.abc import Iterator
from functools import cache

from reminders.logic.reply.tokens import tokenize

Phrase = tuple[str, ...]
# The choices at one place of a phrase; the empty one means it may be left out.
Choices = tuple[Phrase, ...]


def parts(pattern: str) -> Iterator[tuple[Choices, ...]]:
    """Each whole phrase of a pattern as the choices at its places, folded."""
    for part in pattern.split(";"):
        places = tuple(_choices(piece) for piece in part.split())
        if any(filter(None, itertools.chain.from_iterable(places))):
            yield places


def expand(pattern: str) -> Iterator[Phrase]:
    """Every phrase a pattern stands for; a few words can stand for thousands."""
    for places in parts(pattern):
        for chosen in itertools.product(*places):
            phrase = tuple(itertools.chain.from_iterable(chosen))
            if phrase:
                yield phrase


@cache
def words_of(text: str) -> Phrase:
    """A text's words and signs, folded as a client's would be."""
    return tuple(token.text for token in tokenize(text))


@cache
def _choices(piece: str) -> Choices:
    optional = piece.endswith("?")
    choices = piece.rstrip("?").split("|")
    words = [words_of(each.replace("_", " ")) for each in choices]
    words = [each for each in words if each]
    return (*words, ()) if optional else tuple(words)
