"""Patient-specific function: up to five activities of the client's own, each 0 to 10.

Free of cost; credit Stratford, Gill, Westaway & Binkley 1995. The wording of the page
is our own. The clinician writes the list down with the client; afterwards the same
list is read out or shown again. Score: the mean of the activities rated. Only the
activities rated both times are compared. Error: MDC90 2 points of the mean, 3 of a
single activity (Stratford 1995). No bound for a useful change is held here.
"""

from __future__ import annotations

from typing import Any, Final

from programs.logic.outcomes.values import (
    LANGUAGES,
    AnswerError,
    Answers,
    Bounds,
    Change,
    Measure,
    Score,
    Taken,
    between,
    only,
    shown,
)

MOST, LONGEST_NAME = 5, 80
MDC_MEAN, MDC_ONE = 2.0, 3.0
ASK: Final = {
    "en": "Today, how well can you do each of these?",
    "es": "Hoy, ¿qué tal puede hacer cada una de estas cosas?",
    "fr": "Aujourd’hui, comment arrivez-vous à faire chacune de ces choses ?",
}
ENDS: Final = {
    "en": ("cannot do it", "as well as before"),
    "es": ("no puedo hacerla", "tan bien como antes"),
    "fr": ("impossible", "aussi bien qu’avant"),
}


def score(answers: Answers) -> Score:
    """The mean of the rated activities; those without a rating count as missing.

    `activities`: list of {"name": str, "rating": 0-10 or None}. At least one must be
    rated; the same name twice is refused, because it could not be followed up.
    """
    only(answers, "activities")
    rated = ratings(answers)
    given = [value for value in rated.values() if value is not None]
    if not given:
        raise AnswerError("Rate at least one activity.", "activities")
    return Score(round(sum(given) / len(given), 2), len(rated) - len(given))


def ratings(answers: Answers) -> dict[str, int | None]:
    """Rating by activity, in the order of the list."""
    rows = answers.get("activities")
    if not isinstance(rows, list | tuple) or not 1 <= len(rows) <= MOST:
        raise AnswerError(f"Name one to {MOST} activities.", "activities")
    found: dict[str, int | None] = {}
    for row in rows:
        name, rating = _row(row)
        if name in found:
            raise AnswerError("Name each activity once.", "activities")
        found[name] = rating
    return found


def change(first: Taken, now: Taken) -> Change:
    """Better when higher, over the activities rated both times."""
    before, after = ratings(first.answers), ratings(now.answers)
    pairs = {
        name: (old, new)
        for name, old in before.items()
        if old is not None and (new := after.get(name)) is not None
    }
    if not pairs:
        said = "No activity was rated both times: nothing to compare."
        return Change(0.0, None, None, None, None, said)
    start = round(sum(old for old, _ in pairs.values()) / len(pairs), 2)
    end = round(sum(new for _, new in pairs.values()) / len(pairs), 2)
    needed = MDC_MEAN if len(pairs) > 1 else MDC_ONE
    of_what = f"the mean of {len(pairs)} activities" if len(pairs) > 1 else "one"
    rule = f"{needed:g} points of {of_what}; Stratford 1995"
    bounds = Bounds(abs(end - start) >= needed, None, rule)
    found = between(start, end, bounds, lower_is_better=False)
    return Change(
        found.difference,
        None,
        found.better,
        found.reliable,
        None,
        found.sentence + _alone(pairs),
    )


def reads(taken: Taken) -> str:
    """How many activities the mean is of, when some were not rated."""
    rated = ratings(taken.answers)
    given = sum(value is not None for value in rated.values())
    return "" if given == len(rated) else f"{given} of {len(rated)} activities rated"


def _alone(pairs: dict[str, tuple[int, int]]) -> str:
    """Single activities that changed by more than their own error."""
    if len(pairs) < 2:
        return ""
    moved = [
        f"{name} {shown(old)} to {shown(new)}"
        for name, (old, new) in pairs.items()
        if abs(new - old) >= MDC_ONE
    ]
    return f" Alone by 3 or more: {', '.join(moved)}." if moved else ""


def _row(row: Any) -> tuple[str, int | None]:
    if not isinstance(row, dict) or set(row) - {"name", "rating"}:
        raise AnswerError("Give each activity its name and rating.", "activities")
    name, rating = row.get("name"), row.get("rating")
    if not isinstance(name, str) or not name.strip():
        raise AnswerError("Name the activity.", "activities")
    if len(name) > LONGEST_NAME:
        raise AnswerError(f"Use at most {LONGEST_NAME} signs a name.", "activities")
    if rating is None:
        return " ".join(name.split()), None
    if isinstance(rating, bool) or not isinstance(rating, int) or not 0 <= rating <= 10:
        raise AnswerError("Rate an activity from 0 to 10.", "activities")
    return " ".join(name.split()), rating


PSFS: Final = Measure(
    code="psfs",
    name="Own activities (PSFS)",
    low=0,
    high=10,
    unit="of 10",
    by_link=LANGUAGES,
    source="Stratford, Gill, Westaway & Binkley 1995, Physiother Can 47:258-263",
    score=score,
    change=change,
    reads=reads,
)
