"""What is missing where a trend stays unclear, in plain words."""

from programs.logic.assessment import Assessment
from programs.logic.history import TREND_DAYS, TREND_REPORTS, History

UNCLEAR = "unclear"
LOCATED = 2


def missing(history: History, found: Assessment) -> tuple[str, ...]:
    """Return a sentence for each trend that is unclear: what would make it clear."""
    said = []
    if found.location_trend == UNCLEAR:
        said.append(_reach(history, found))
    if found.pain_trend == UNCLEAR:
        said.append(_pain(history))
    return tuple(said)


def _reach(history: History, found: Assessment) -> str:
    located = len({at for s in history.sides for at in (*s.times[:1], *s.times[-1:])})
    if located < LOCATED:
        return f"Reach: {located} of {LOCATED} reports that say how far it reaches."
    if "farther_once" in found.numbers:
        return "Reach: a second report, 6 h or more after the farther one."
    return "Reach: two reports in a row that agree on another level."


def _pain(history: History) -> str:
    days, ratings = len(history.pain_days), len(history.ratings)
    if not history.enough_for_pain_trend():
        return (
            f"Pain: {days} of {TREND_DAYS} rated days,"
            f" or {ratings} of {TREND_REPORTS} ratings."
        )
    return "Pain: two rated days, at most three days apart and not older than two."
