"""Folded text cut into words, numbers and signs with their original offsets."""

import re
from typing import NamedTuple

from reminders.logic.reply.normalize import Folded, fold

# No piece of this pattern can match the same text in two ways, so the scan is
# linear; arrows are bounded because a page of dashes would otherwise be not.
_PIECE = re.compile(
    r"(?P<number>\d+(?:[.,]\d{1,2}(?!\d))?)"
    r"|(?P<word>[^\W\d_]+(?:'[^\W\d_]+)*)"
    r"|(?P<arrow>-{1,2}>|={1,2}>|>)"
    r"|(?P<sign>\.\.+|[^\w ]|_)"
)
_LONGEST_NUMBER = 6


class Token(NamedTuple):
    """One word, number or sign; `glued` means no gap to the token before it.

    A named tuple, not a frozen dataclass: hundreds are made for one text.
    """

    text: str
    start: int
    end: int
    kind: str
    glued: bool = False
    value: float | None = None


def tokenize(text: str | Folded) -> tuple[Token, ...]:
    """Cut any string into tokens; numbers longer than six digits have no value."""
    folded = text if isinstance(text, Folded) else fold(text)
    out: list[Token] = []
    last = -1
    origin = folded.origin
    for found in _PIECE.finditer(folded.text):
        start, end = found.span()
        glued = start == last
        last = end
        piece, kind = found.group(), found.lastgroup or "sign"
        if kind == "word" and "'" in piece:
            out.extend(_words(folded, start, end, glued=glued))
            continue
        value = None
        if kind == "number" and len(piece) <= _LONGEST_NUMBER:
            value = float(piece.replace(",", "."))
        elif kind == "arrow":
            piece = "->"
        out.append(Token(piece, origin[start], origin[end - 1] + 1, kind, glued, value))
    return tuple(_without_joining_hyphens(out))


def _words(folded: Folded, start: int, end: int, *, glued: bool) -> list[Token]:
    """ "can't" stays one word, "l'entrejambe" and "mum's" become two."""
    parts = folded.text[start:end].split("'")
    if len(parts) > 1 and parts[-1] == "t":
        parts[-2:] = [parts[-2] + "'t"]
    out = []
    at = start
    for part in parts:
        span = folded.span(at, at + len(part))
        text = part.replace("'", "")
        out.append(Token(text, *span, "word", glued and at == start))
        at += len(part) + 1
    return out


def _without_joining_hyphens(tokens: list[Token]) -> list[Token]:
    """ "opt-out" reads as "opt out"; "3-4" and "-3" keep their sign."""
    if not any(token.text == "-" for token in tokens):
        return tokens
    kept = []
    for at, token in enumerate(tokens):
        joins = token.text == "-" and token.glued and 0 < at < len(tokens) - 1
        if joins and tokens[at - 1].kind == "word" and tokens[at + 1].glued:
            tokens[at + 1] = tokens[at + 1]._replace(glued=False)
            continue
        kept.append(token)
    return kept
