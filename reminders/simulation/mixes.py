"""How many clients of each kind: as in a clinic, or weighted to test with."""

import random
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from reminders.simulation import courses

Mix = Mapping[str, float]

# An estimate of a clinic's caseload (engineering choice, no published census).
REALISTIC_MIX: Final[Mix] = MappingProxyType(
    {
        courses.FAST_IMPROVER: 0.28,
        courses.SLOW_IMPROVER: 0.30,
        courses.FLUCTUATING: 0.12,
        courses.PLATEAU: 0.18,
        courses.PERIPHERALIZER: 0.06,
        courses.PAIN_ONLY_WORSENING: 0.03,
        courses.SUDDEN_WARNING: 0.005,
        courses.NON_RESPONDER: 0.025,
    }
)

# Rare courses made common, so that a small run meets each of them.
TEST_MIX: Final[Mix] = MappingProxyType(
    {
        courses.FAST_IMPROVER: 0.15,
        courses.SLOW_IMPROVER: 0.15,
        courses.FLUCTUATING: 0.12,
        courses.PLATEAU: 0.15,
        courses.PERIPHERALIZER: 0.15,
        courses.PAIN_ONLY_WORSENING: 0.10,
        courses.SUDDEN_WARNING: 0.10,
        courses.NON_RESPONDER: 0.08,
    }
)


def allot(count: int, mix: Mix, rng: random.Random) -> list[str]:
    """Return `count` entries of `mix` in shuffled order, each near its share.

    Whole shares first, then the largest remainders, so that a share of 15 % of 40
    is 6 every time. Raises ValueError for a negative count or an empty mix.
    """
    total = sum(mix.values())
    if count < 0 or total <= 0 or min(mix.values()) < 0:
        raise ValueError("use a count of 0 or more and a mix of positive shares")
    exact = {name: count * share / total for name, share in mix.items()}
    counts = {name: int(value) for name, value in exact.items()}
    by_remainder = sorted(exact, key=lambda name: counts[name] - exact[name])
    for name in by_remainder[: count - sum(counts.values())]:
        counts[name] += 1
    drawn = [name for name, times in counts.items() for _ in range(times)]
    rng.shuffle(drawn)
    return drawn
