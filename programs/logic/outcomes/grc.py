"""Global rating of change, -5 to +5 since the program began: free, wording our own.

One answer is the change itself. ICC 0.84 in low back pain (Bobos 2020); useful from
about 2.5 of the 11 steps, so from 3; error 0.45, so one step is more than error
(Kamper 2009). Two answers in a row at -2 or below ask for a clinician's look.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from programs.logic.outcomes.values import (
    LANGUAGES,
    Answers,
    Change,
    Measure,
    Score,
    Taken,
    only,
    signed,
    whole,
)

MIC: Final = 3
WORSE: Final = -2
ASK: Final = {
    "en": "Since we started your program, how much has your back or leg changed?",
    "es": "Desde que empezamos su programa, ¿cuánto ha cambiado su espalda o pierna?",
    "fr": "Depuis le début du programme, à quel point votre dos ou votre jambe"
    " ont-ils changé ?",
}
ENDS: Final = {
    "en": ("very much worse", "no change", "completely recovered"),
    "es": ("muchísimo peor", "sin cambios", "recuperación completa"),
    "fr": ("très nettement pire", "aucun changement", "guérison complète"),
}


def score(answers: Answers) -> Score:
    """The rating as given; a missing one cannot be scored."""
    only(answers, "change")
    return Score(whole(answers, "change", -5, 5))


def change(first: Taken, now: Taken) -> Change:
    """The latest answer is the change since the start, whatever came before."""
    value = now.value
    better = None if value == 0 else value > 0
    useful = abs(value) >= MIC
    said = f"{signed(value)}: {reads(now)}." if value else "0: no change."
    if value:
        enough = "Enough to matter" if useful else "Below useful change"
        said += f" {enough} (3 steps or more; Bobos 2020)."
    return Change(value, None, better, value != 0, useful, said)


def reads(taken: Taken) -> str:
    """The rating in words."""
    if taken.value == 0:
        return "no change since the start"
    size = "small" if abs(taken.value) < MIC else "clear"
    return f"a {size} change for the {'better' if taken.value > 0 else 'worse'}"


def is_worse_twice(course: Sequence[Taken]) -> bool:
    """Whether the last two answers are both -2 or below; oldest first."""
    last = course[-2:]
    return len(last) == 2 and all(one.value <= WORSE for one in last)


GRC: Final = Measure(
    code="grc",
    name="Overall change (GRC)",
    low=-5,
    high=5,
    unit="from -5 to +5",
    by_link=LANGUAGES,
    source="Global rating of change, 11 points; Kamper 2009, Bobos 2020",
    score=score,
    change=change,
    reads=reads,
)
