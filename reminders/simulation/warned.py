"""A warning sign that befalls a client out of the blue."""

import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

_KINDS: Final[dict[str, int]] = {
    "bladder_bowel": 20,
    "saddle_numbness": 15,
    "leg_weakness": 20,
    "both_legs": 10,
    "sexual_function": 4,
    "fall_injury": 9,
    "fever_unwell": 7,
    "calf_swelling": 6,
    "chest_breathing": 5,
    "cancer_signs": 2,
    "crisis": 2,
}
_FIRST_DAY: Final = 3
_LAST_DAY: Final = 24


@dataclass(frozen=True, slots=True)
class WarningPlan:
    """Which sign, from which day on, and whether it is told again the next day."""

    kind: str
    day: int
    repeats: bool

    def is_due(self, day: int, told_on: Sequence[int]) -> bool:
        """Say whether the sign is to be told in a text of `day`."""
        if not told_on:
            return day >= self.day
        return self.repeats and len(told_on) == 1 and day == told_on[0] + 1


def draw_warning(rng: random.Random) -> WarningPlan:
    """Return one sign on a day from 3 to 24; half are told again the next day."""
    return WarningPlan(
        kind=rng.choices(tuple(_KINDS), tuple(_KINDS.values()))[0],
        day=rng.randint(_FIRST_DAY, _LAST_DAY),
        repeats=rng.random() < 0.5,
    )
