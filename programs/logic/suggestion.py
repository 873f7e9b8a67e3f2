"""A suggestion to a clinician, who accepts, edits or declines it."""

from dataclasses import dataclass

from programs.logic.dose import Dose

ACTIONS = (
    "stop",
    "pause",
    "call",
    "medical_review",
    "step_back",
    "lower",
    "review_direction",
    "fewer_exercises",
    "keep",
    "progress",
    "function",
    "taper",
)


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One change worth considering.

    `row` is the id of the rule in the decision table. `exercise_code` is the
    exercise it concerns (None: the whole program), `target_code` the one to exchange
    it for, `dose` its new dose; None where that does not change. `sentence` says why
    with its numbers, `would_change` what would change it, `source` where the rule
    comes from.
    """

    row: str
    action: str
    sentence: str
    would_change: str
    source: str
    exercise_code: str | None = None
    target_code: str | None = None
    dose: Dose | None = None
