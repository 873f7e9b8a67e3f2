"""The exercise library as values: what an exercise is, says and is dosed at.

Figures are common practice, to be signed off by the clinicians who use them.
In every exercise with a side, the side is the one the hips move to.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from math import ceil
from typing import Literal

Kind = Literal["hold", "repetition", "duration"]
Direction = Literal["extension", "lateral", "flexion", "neutral"]
Side = Literal["none", "left", "right"]
AfterFloor = Literal["rung_down", "stop"]
OfTwo = Literal["min", "max", "hold"]

LANGUAGES = ("en", "es", "fr")

LADDERS = (
    "extension",
    "extension_left",
    "extension_right",
    "lateral_left",
    "lateral_right",
    "function",
)

# A side-shifted ladder starts where the rung below it is shared with the straight
# one: hips shifted on the elbows is as forceful as the elbows alone.
PARENT_LADDERS: Mapping[str, str] = {
    "extension_left": "extension",
    "extension_right": "extension",
}

# What a dose may be at all (refused outside), by field; seconds, counts, minutes.
DOSE_BOUNDS: Mapping[str, tuple[int, int]] = {
    "hold_seconds": (1, 300),
    "repetitions": (1, 50),
    "sets": (1, 10),
    "duration_minutes": (1, 120),
    "times_per_day": (1, 12),
}

# Which fields a dose of each kind carries; the others are absent, not zero.
KIND_FIELDS: Mapping[str, tuple[str, ...]] = {
    "hold": ("hold_seconds", "repetitions", "sets", "times_per_day"),
    "repetition": ("repetitions", "sets", "times_per_day"),
    "duration": ("duration_minutes", "times_per_day"),
}


@dataclass(frozen=True, slots=True)
class CommonDose:
    """The dose an exercise usually starts at. Seconds, counts, minutes."""

    times_per_day: int
    hold_seconds: int | None = None
    repetitions: int | None = None
    sets: int | None = None
    duration_minutes: int | None = None

    def stated(self) -> dict[str, int]:
        """Only the fields this dose carries, by name."""
        pairs = ((field.name, getattr(self, field.name)) for field in fields(self))
        return {name: value for name, value in pairs if value is not None}


@dataclass(frozen=True, slots=True)
class SaferRule:
    """How the dose is made safer: one field, one step, down to a floor.

    `of_two` says which of two doses that disagree is in force until a clinician
    decides: the lower (`min`), the higher (`max`), or neither (`hold` sending).
    """

    field: str
    factor: float
    floor: int
    then: AfterFloor
    of_two: OfTwo = "min"

    def lower(self, value: int) -> int | None:
        """One step below `value`; None at the floor, where `then` applies."""
        if value <= self.floor:
            return None
        step = min(value - 1, ceil(value * self.factor))
        return max(self.floor, step)


@dataclass(frozen=True, slots=True)
class ExerciseText:
    """What the client reads, in one language. `short_name` goes into texts."""

    name: str
    short_name: str
    purpose: str
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    stop_if: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Exercise:
    """One exercise of the library: its place on a ladder, its dose, its words."""

    code: str
    kind: Kind
    direction: Direction
    side: Side
    ladder: str
    rung: int
    dose: CommonDose
    common_range: Mapping[str, tuple[int, int]]
    safer: SaferRule
    caution_keys: tuple[str, ...]
    stop_keys: tuple[str, ...]
    texts: Mapping[str, ExerciseText]

    def text(self, language: str) -> ExerciseText:
        """The words in `language`; English where the language is not carried."""
        return self.texts.get(language, self.texts["en"])


def mirror_code(code: str) -> str | None:
    """The code of the same exercise to the other side; None without a side."""
    for mine, other in (("_left", "_right"), ("_right", "_left")):
        if code.endswith(mine):
            return code.removesuffix(mine) + other
    return None


def ladder_of(exercises: Iterable[Exercise], ladder: str) -> tuple[Exercise, ...]:
    """The exercises of one ladder, least force first."""
    own = (exercise for exercise in exercises if exercise.ladder == ladder)
    return tuple(sorted(own, key=lambda exercise: exercise.rung))


def places(exercises: Iterable[Exercise]) -> dict[str, tuple[str, int]]:
    """Each exercise's (ladder, rung) by code."""
    return {one.code: (one.ladder, one.rung) for one in exercises}
