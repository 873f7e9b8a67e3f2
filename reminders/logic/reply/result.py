"""What one reply says, as a value: the contract every later stage builds on."""

from collections.abc import Mapping
from dataclasses import dataclass, field

Span = tuple[int, int]

AREAS = ("back", "buttock", "hip", "thigh", "knee", "lower_leg", "foot", "leg")
STATES = ("present", "new", "worse", "same", "better", "gone")
WARNINGS = (
    "bladder_bowel",
    "saddle_numbness",
    "leg_weakness",
    "both_legs",
    "sexual_function",
    "fall_injury",
    "fever_unwell",
    "calf_swelling",
    "chest_breathing",
    "cancer_signs",
    "crisis",
)


@dataclass(frozen=True, slots=True)
class Reply:
    """One client's text, read.

    `pain` and `pain_by_area` are 0-10 ratings, `hold_seconds` is in seconds.
    `evidence` names the characters of the original text a field was read from:
    plain fields by their own name; mapping and set fields by their name (first
    find) and by `field.key` for each entry, such as `areas.foot`.
    Anything not said stays at its default, which never means "fine".
    """

    keyword: str | None = None
    stop_inside: bool = False
    completion: str | None = None
    pain: float | None = None
    overall: str | None = None
    areas: Mapping[str, str] = field(default_factory=dict)
    pain_by_area: Mapping[str, float] = field(default_factory=dict)
    sensation: Mapping[str, str] = field(default_factory=dict)
    side: str | None = None
    shift: str | None = None
    warnings: frozenset[str] = frozenset()
    hold_seconds: int | None = None
    repetitions: int | None = None
    sets: int | None = None
    needs_human: bool = False
    ask_back: str | None = None
    evidence: Mapping[str, Span] = field(default_factory=dict)
