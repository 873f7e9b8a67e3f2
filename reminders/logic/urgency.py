"""How soon a person must act, in four steps from most to least urgent.

`emergency` 15 minutes at any hour, `same_day` two site hours, `next_day` noon of
the next working day, `review` the end of it (common practice; a site's own
rules come first).
"""

from collections.abc import Iterable
from typing import Final

EMERGENCY: Final = "emergency"
SAME_DAY: Final = "same_day"
NEXT_DAY: Final = "next_day"
REVIEW: Final = "review"

URGENCIES: Final[tuple[str, ...]] = (EMERGENCY, SAME_DAY, NEXT_DAY, REVIEW)


def rank(urgency: str) -> int:
    """Return the place of `urgency`, 0 for the most urgent.

    Raises ValueError for a word that is no urgency, so that a misspelled one
    never sorts silently to the end of a morning list.
    """
    if urgency not in URGENCIES:
        raise ValueError(
            f"unknown urgency {urgency!r}: use one of {', '.join(URGENCIES)}"
        )
    return URGENCIES.index(urgency)


def worst(urgencies: Iterable[str | None]) -> str | None:
    """Return the most urgent of `urgencies`, leaving out None; None if none is left."""
    stated = [urgency for urgency in urgencies if urgency is not None]
    return min(stated, key=rank) if stated else None


def at_least(urgency: str, floor: str) -> bool:
    """Say whether `urgency` is as urgent as `floor`, or more."""
    return rank(urgency) <= rank(floor)
