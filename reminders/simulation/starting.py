"""What the clinician would find on the first day: the baseline of a program."""

import random
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from reminders.simulation.courses import Course

AREAS_OF_ZONE: Final[tuple[tuple[str, ...], ...]] = (
    ("back",),
    ("buttock", "buttock", "buttock", "hip"),
    ("thigh",),
    ("lower_leg", "lower_leg", "lower_leg", "lower_leg", "lower_leg", "knee"),
    ("foot",),
)

# Extension about 80 %, lateral 10-14 %, flexion under 10 % of those with one
# (May 2018, from a summary).
_PREFERENCES: Final = ("extension", "lateral", "flexion", "none_found")
_PREFERENCE_WEIGHTS: Final = (76, 12, 6, 6)
_TINGLES: Final = 0.2
_OPPOSITE: Final = {"left": "right", "right": "left"}


@dataclass(frozen=True, slots=True)
class StartingPoint:
    """Pain 0-10, farthest area, painful side, feeling, direction and posture.

    `lateral_shift` is named by where the shoulders sit; `sensation` maps an area
    to what was already felt there, so that it is not new later.
    """

    pain: int
    area: str
    side: str
    directional_preference: str
    lateral_shift: str | None
    sensation: Mapping[str, str]


def area_in_zone(zone: int, rng: random.Random) -> str:
    """Return an area of coarse `zone` (0 back to 4 foot)."""
    return rng.choice(AREAS_OF_ZONE[zone])


def draw_start(course: Course, rng: random.Random) -> StartingPoint:
    """Return a starting point that fits the first day of `course`."""
    side = rng.choice(("left", "right"))
    area = area_in_zone(course.zone(0), rng)
    preference = rng.choices(_PREFERENCES, _PREFERENCE_WEIGHTS)[0]
    tingles = course.zone(0) >= 2 and rng.random() < _TINGLES
    return StartingPoint(
        pain=round(course.level(0)),
        area=area,
        side=side,
        directional_preference=preference,
        lateral_shift=_lateral_shift(preference, side, rng),
        sensation={area: "tingling"} if tingles else {},
    )


def _lateral_shift(preference: str, side: str, rng: random.Random) -> str | None:
    """A shift is commoner with a lateral preference, and mostly away from the pain."""
    if rng.random() >= (0.6 if preference == "lateral" else 0.1):
        return None
    return _OPPOSITE[side] if rng.random() < 0.8 else side
