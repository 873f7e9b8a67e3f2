"""A text from someone who is not the client: "wrong number"."""

from collections.abc import Sequence

from reminders.logic.reply.reading import Reading, readings
from reminders.logic.reply.tokens import tokenize


def is_wrong_number(text: str, *, language: str = "en") -> bool:
    """Whether the sender says this is not the client's number; any language.

    The caller ends sending and opens a task; nothing may be disclosed. A bare
    "who is this?" is a question, not this.
    """
    return says_wrong_number(readings(tokenize(text), language, None))


def says_wrong_number(every: Sequence[Reading]) -> bool:
    """The same for a text already read."""
    found = (f for reading in every for f in reading.signs)
    return any(f.asserted and f.sign.kind == "wrong_number" for f in found)
