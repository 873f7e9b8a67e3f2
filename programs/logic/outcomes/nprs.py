"""Numeric pain rating, 0 to 10: no licence needed, the wording is our own.

Error: MDC 2 points (Childs, Piva & Fritz 2005); reliably better needs 30 % of the
start as well, because 3 to 2 is a third and still under the error. Useful change by
start: 1 point below 5, 2 from 5, 3 from 8 (back-pain hospital cohort 2021). Severity
cuts: Boonstra 2016.
"""

from __future__ import annotations

from typing import Final

from programs.logic.outcomes.values import (
    LANGUAGES,
    Answers,
    Bounds,
    Change,
    Measure,
    Score,
    Taken,
    between,
    by_share,
    number,
    only,
)

MDC: Final = 2.0
SOURCE: Final = "Numeric rating 0-10; Childs 2005, hospital cohort 2021, Boonstra 2016"
ASK: Final = {
    "en": "How strong has the pain been on average over the last 24 hours?",
    "es": "En las últimas 24 horas, ¿cómo de fuerte ha sido el dolor en promedio?",
    "fr": "Ces dernières 24 heures, quelle a été en moyenne la force de la douleur ?",
}
ENDS: Final = {
    "en": ("none", "the worst one can imagine"),
    "es": ("nada", "el peor imaginable"),
    "fr": ("aucune", "la pire imaginable"),
}


def score(answers: Answers) -> Score:
    """The rating as said; a missing one cannot be scored."""
    only(answers, "pain")
    return Score(number(answers, "pain", 0, 10))


def change(first: Taken, now: Taken) -> Change:
    """Better when lower; see the module for both bounds."""
    difference = now.value - first.value
    needed = _needed(first.value)
    reliable = abs(difference) >= MDC
    if difference < 0:
        reliable = reliable and by_share(first.value, difference)
    bounds = Bounds(
        reliable,
        abs(difference) >= needed,
        "2 points, and 30 % when better; Childs 2005",
        f"{needed:g} from a start of {first.value:g}; hospital cohort 2021",
    )
    return between(first.value, now.value, bounds, lower_is_better=True)


def reads(taken: Taken) -> str:
    """Mild, moderate or severe; 0 is recovered (Kamper 2010)."""
    if taken.value == 0:
        return "no pain"
    if taken.value <= 5:
        return "mild"
    return "moderate" if taken.value < 8 else "severe"


def _needed(start: float) -> float:
    return 1.0 if start < 5 else 2.0 if start < 8 else 3.0


NPRS: Final = Measure(
    code="nprs",
    name="Pain rating (NPRS)",
    low=0,
    high=10,
    unit="of 10",
    by_link=LANGUAGES,
    source=SOURCE,
    score=score,
    change=change,
    reads=reads,
)
