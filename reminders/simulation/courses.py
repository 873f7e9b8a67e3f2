"""How pain and its reach run over the weeks in eight kinds of client.

Start values after the ATLAS baseline 2015 (leg pain 5.2, SD 2.4; two thirds below
the knee); the courses are an engineering model, not a prognosis. Zones are the
coarse ones: 0 back, 1 buttock or hip, 2 thigh, 3 knee or lower leg, 4 foot.
"""

import math
import random
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

FAST_IMPROVER: Final = "fast_improver"
SLOW_IMPROVER: Final = "slow_improver"
FLUCTUATING: Final = "fluctuating"
PLATEAU: Final = "plateau"
PERIPHERALIZER: Final = "peripheralizer"
PAIN_ONLY_WORSENING: Final = "pain_only_worsening"
SUDDEN_WARNING: Final = "sudden_warning"
NON_RESPONDER: Final = "non_responder"

KINDS: Final = (
    FAST_IMPROVER,
    SLOW_IMPROVER,
    FLUCTUATING,
    PLATEAU,
    PERIPHERALIZER,
    PAIN_ONLY_WORSENING,
    SUDDEN_WARNING,
    NON_RESPONDER,
)

FARTHEST_ZONE: Final = 4
_START_ZONES: Final = (0, 1, 2, 3, 4)
_START_WEIGHTS: Final = (5, 11, 14, 45, 25)
_DAYS_OF_NOISE: Final = 180
_CARRY_OVER: Final = 0.4
_DAY_SD: Final = 0.8
_REPLY_SD: Final = 0.7
_MORNING: Final = 0.3


@dataclass(frozen=True, slots=True)
class Course:
    """One client's latent course; days count from the first text.

    `shape` is the kind whose curve is followed: a sudden warning sign or a client
    who does not answer can befall any course. `onset_day` is when things turn.
    """

    kind: str
    shape: str
    pain_start: float
    zone_start: int
    half_life_days: float
    onset_day: int | None
    days_per_zone: int
    day_effects: tuple[float, ...]

    def level(self, day: int) -> float:
        """Return the pain level of `day` (0-10) without the day's own noise."""
        return min(10.0, max(0.0, _LEVELS[self.shape](self, max(0, day))))

    def felt(self, day: int) -> float:
        """Return the pain of `day` with good and bad days in it, unrounded."""
        return self.level(day) + self.day_effects[max(0, day) % len(self.day_effects)]

    def zone(self, day: int) -> int:
        """Return the farthest coarse zone of `day`, 0 (back) to 4 (foot)."""
        return min(FARTHEST_ZONE, max(0, self._zone(max(0, day))))

    def rating(self, day: int, rng: random.Random, *, morning: bool) -> int:
        """Return a 0-10 rating as the client would give it at one moment."""
        exact = self.felt(day) + (_MORNING if morning else 0) + rng.gauss(0, _REPLY_SD)
        return round(min(10.0, max(0.0, exact)))

    def since_onset(self, day: int) -> int:
        """Return the days since things turned; 0 before, or when they never do."""
        return 0 if self.onset_day is None else max(0, day - self.onset_day)

    def _zone(self, day: int) -> int:
        if self.shape in {FAST_IMPROVER, SLOW_IMPROVER}:
            # Reach draws in more slowly than pain falls.
            return round(
                self.zone_start * math.pow(0.5, day / (1.2 * self.half_life_days))
            )
        if self.shape == FLUCTUATING:
            return self.zone_start + (self.level(day) > self.pain_start + 1)
        turned = self.onset_day is not None and day >= self.onset_day
        if self.shape == PERIPHERALIZER and turned:
            steps = 1 + self.since_onset(day) // self.days_per_zone
            return self.zone_start + min(3, steps)
        return self.zone_start


def _improving(course: Course, day: int) -> float:
    left = math.pow(0.5, day / course.half_life_days)
    return 1 + (course.pain_start - 1) * left


def _fluctuating(course: Course, day: int) -> float:
    return course.pain_start + 1.3 * math.sin(2 * math.pi * day / 7)


def _steady(course: Course, day: int) -> float:
    return course.pain_start


def _spreading(course: Course, day: int) -> float:
    return course.pain_start + 0.3 * course.since_onset(day)


def _worsening(course: Course, day: int) -> float:
    return max(2.0, course.pain_start - 1) + min(3.5, 0.7 * course.since_onset(day))


_LEVELS: Final[dict[str, Callable[[Course, int], float]]] = {
    FAST_IMPROVER: _improving,
    SLOW_IMPROVER: _improving,
    FLUCTUATING: _fluctuating,
    PLATEAU: _steady,
    PERIPHERALIZER: _spreading,
    PAIN_ONLY_WORSENING: _worsening,
}


def draw_course(kind: str, rng: random.Random) -> Course:
    """Return a course of `kind`; raises ValueError for an unknown kind."""
    if kind not in KINDS:
        raise ValueError(f"unknown kind {kind!r}: use one of {', '.join(KINDS)}")
    shape = kind
    if kind in {SUDDEN_WARNING, NON_RESPONDER}:
        shape = rng.choice((FAST_IMPROVER, SLOW_IMPROVER, PLATEAU))
    turns = shape in {PERIPHERALIZER, PAIN_ONLY_WORSENING}
    fast = shape == FAST_IMPROVER
    return Course(
        kind=kind,
        shape=shape,
        pain_start=min(9.0, max(3.0, rng.gauss(5.5, 2.0))),
        zone_start=_start_zone(shape, rng),
        half_life_days=rng.uniform(4, 8) if fast else rng.uniform(18, 35),
        onset_day=rng.randint(7, 18) if turns else None,
        days_per_zone=rng.choice((2, 3, 4)),
        day_effects=_day_effects(rng),
    )


def _start_zone(shape: str, rng: random.Random) -> int:
    if shape == PERIPHERALIZER:
        return rng.choice((0, 1, 2))  # there must be room to spread
    return rng.choices(_START_ZONES, _START_WEIGHTS)[0]


def _day_effects(rng: random.Random) -> tuple[float, ...]:
    """Good and bad days, each carrying over a little to the next."""
    fresh = _DAY_SD * math.sqrt(1 - _CARRY_OVER**2)
    effects, effect = [], 0.0
    for _ in range(_DAYS_OF_NOISE):
        effect = _CARRY_OVER * effect + rng.gauss(0, fresh)
        effects.append(effect)
    return tuple(effects)
