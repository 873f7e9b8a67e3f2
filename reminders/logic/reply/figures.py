"""One number of a text, and what stands right after it."""

from dataclasses import dataclass

from reminders.logic.reply.marks import Mark
from reminders.logic.reply.reading import Reading

TOP = 10


@dataclass(frozen=True, slots=True)
class Number:
    """Value of tokens `start` up to `end`.

    `role`: scale ("3/10"), plain, fraction ("3 of 5": `of` is 5), count, unclear
    (a rating that cannot be trusted as it stands), other. `faint` values are
    words that are articles as well. `past` is the first of "6 -> 3".
    """

    value: float
    start: int
    end: int
    role: str
    of: float | None = None
    faint: bool = False
    past: bool = False
    unit: str | None = None


def value_at(reading: Reading, at: int) -> float | None:
    """The value of a number or number word; a huge number is 1e6, never a rating."""
    token = reading.tokens[at]
    if token.kind == "number":
        return 1e6 if token.value is None else token.value
    return reading.words.numbers.get(token.text) if token.kind == "word" else None


def out_of(reading: Reading, starts: dict[int, Mark], at: int) -> int | None:
    """Token after "/10" or "out of ten", None if there is no such scale here."""
    mark = starts.get(at)
    if mark and mark.is_a("number.out_of_ten"):
        return mark.end
    tokens = reading.tokens
    slash = at + 1 < len(tokens) and tokens[at].text in ("/", "\\")
    if slash and tokens[at + 1].value == TOP:
        third = at + 2 < len(tokens) and tokens[at + 2].text == "/"
        return None if third else at + 2
    return None


def recast(
    number: Number, role: str, *, end: int | None = None, unit: str | None = None
) -> Number:
    return Number(
        number.value,
        number.start,
        number.end if end is None else end,
        role,
        faint=number.faint,
        past=number.past,
        unit=unit,
    )
