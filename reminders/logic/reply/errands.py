"""What a text asks that the front desk can settle, told by a code and not by the text.

Clinical questions are not errands: a clinician reads those.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from reminders.logic.reply.network import bits_of
from reminders.logic.reply.reading import Reading, readings
from reminders.logic.reply.result import WARNINGS
from reminders.logic.reply.tokens import tokenize

ERRANDS = ("text_times", "appointment")


_CLINICAL = bits_of(("trouble", "posture", "symptom", "body", "change"))


@dataclass(frozen=True, slots=True)
class Errands:
    """`codes` of ERRANDS in that order; `only`: nothing in it wants a clinician."""

    codes: tuple[str, ...]
    only: bool


def errands(text: str, *, language: str = "en", asked: str | None = None) -> Errands:
    """What a text brings up for the front desk, in any language.

    `text_times`: when or how often texts come is wrong for the client, which is no
    opt-out. `appointment`: a visit, a bill or a paper. It is only errands when no
    clinical word stands in it and every question in it is about one.
    """
    every = readings(tokenize(text), language, asked)
    codes = _codes(every)
    clinical = any(_is_clinical(reading) for reading in every)
    return Errands(codes, bool(codes) and not clinical and _asks_nothing_else(every[0]))


def _asks_nothing_else(main: Reading) -> bool:
    about = {each.clause.start for each in main.signs if each.sign.kind in ERRANDS}
    return all(clause.start in about for clause in main.clauses if clause.asks)


def _codes(every: Sequence[Reading]) -> tuple[str, ...]:
    """A denial is part of a wish about times: "do not text me at night"."""
    found = {
        each.sign.kind
        for reading in every
        for each in reading.signs
        if not each.denied or each.sign.kind == "text_times"
    }
    return tuple(code for code in ERRANDS if code in found)


def _is_clinical(reading: Reading) -> bool:
    told = any(mark.is_any(_CLINICAL) for mark in reading.marks)
    return told or any(each.sign.kind in WARNINGS for each in reading.signs)
