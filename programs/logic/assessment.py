"""The verdict on a client's reports: trends, reasons, how soon a person must act."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

SAME_DAY, NEXT_DAY, REVIEW = "same_day", "next_day", "review"
URGENCIES = (SAME_DAY, NEXT_DAY, REVIEW)

# The order is the order reasons are given in: what harms first, good news last.
REASONS = (
    "spreading",
    "new_numbness",
    "pain_up",
    "worse_overall",
    "silent",
    "skipping",
    "no_response",
    "unstable",
    "back_up_leg_in",
    "working_keep",
    "ready_to_progress",
)

Numbers = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Finding:
    """One reason that holds, how soon it wants somebody, and the numbers behind it."""

    reason: str
    urgency: str | None = None
    numbers: Numbers = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True)
class Assessment:
    """What the reports up to a moment say.

    `location_trend` is centralizing, peripheralizing, unchanged or unclear;
    `pain_trend` improving, worsening, unchanged or unclear. `urgency` is None,
    same_day, next_day or review: an emergency comes only from words of warning,
    never from here. `numbers` maps reason -> name -> value; zones are 0 (back) to 4
    (foot), sides are -1 left, 1 right, 0 not said, times are in hours or days by
    name. One entry is no reason: `farther_once`, a single report one zone farther
    with nothing else said, which the caller should ask back about. `missing` has a
    sentence for each trend that is unclear: what would make it clear.
    """

    location_trend: str = "unclear"
    pain_trend: str = "unclear"
    urgency: str | None = None
    reasons: tuple[str, ...] = ()
    numbers: Mapping[str, Numbers] = field(default_factory=dict, hash=False)
    ready_to_progress: bool = False
    missing: tuple[str, ...] = ()


def most_urgent(urgencies: Iterable[str | None]) -> str | None:
    """Return the soonest of several urgencies; None when there is none."""
    present = set(urgencies)
    return next((urgency for urgency in URGENCIES if urgency in present), None)
