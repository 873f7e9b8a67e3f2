"""Oswestry disability: a typed result only.

The questionnaire's words are licensed and appear nowhere in this service; the clinic
uses its own licensed form and types what it counted. Percent = points / (5 x sections
answered) x 100 (Fairbank & Pynsent 2000), so a section left out leaves the
denominator; with fewer than eight of ten answered no score is made (common practice).
Useful: 10 points or 30 % (Ostelo 2008). No bound of error is held here.
"""

from __future__ import annotations

from typing import Final

from programs.logic.outcomes.values import (
    AnswerError,
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
    whole,
)

SECTIONS, FEWEST, MIC = 10, 8, 10


def score(answers: Answers) -> Score:
    """The percent from `points` and sections `answered` (10 unless said), or `percent`.

    Two boxes in a section: the clinic counts the higher one.
    """
    if "percent" in answers:
        only(answers, "percent")
        return Score(number(answers, "percent", 0, 100))
    only(answers, "points", "answered")
    answered = SECTIONS
    if "answered" in answers:
        answered = whole(answers, "answered", FEWEST, SECTIONS)
    points = whole(answers, "points", 0, 5 * SECTIONS)
    if points > 5 * answered:
        raise AnswerError(
            f"{answered} sections give at most {5 * answered} points.", "points"
        )
    return Score(round(points / (5 * answered) * 100, 1), SECTIONS - answered)


def change(first: Taken, now: Taken) -> Change:
    """Better when lower; see the module for the bound."""
    difference = now.value - first.value
    useful = abs(difference) >= MIC or by_share(first.value, difference)
    bounds = Bounds(
        None,
        useful,
        "how much of it is error is not known here",
        "10 points or 30 %; Ostelo 2008",
    )
    return between(first.value, now.value, bounds, lower_is_better=True)


def reads(taken: Taken) -> str:
    """Nothing is read from one score alone."""
    return ""


ODI: Final = Measure(
    code="odi",
    name="Oswestry disability (ODI), typed result",
    low=0,
    high=100,
    unit="%",
    by_link=(),
    source="Fairbank & Pynsent 2000; Ostelo 2008",
    score=score,
    change=change,
    reads=reads,
)
