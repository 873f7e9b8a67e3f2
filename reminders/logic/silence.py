"""The silence ladder: what happens as a client stays unheard.

No news is never good news: a client who spreads in silence is found by nobody,
and a phone call brings replies back from 55-74 % to 91-99 % (Macedo 2012). Steps
and hours are common practice.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from reminders.logic.urgency import NEXT_DAY, REVIEW

NUDGE: Final = "nudge"
SILENT_TWO_DAYS: Final = "silent_two_days"
SILENT_THREE_DAYS: Final = "silent_three_days"
CALL_TASK: Final = "call_task"
LAST_TEXT: Final = "last_text"

_LADDER: Final[tuple[tuple[timedelta, str], ...]] = (
    (timedelta(hours=24), NUDGE),
    (timedelta(hours=48), SILENT_TWO_DAYS),
    (timedelta(hours=72), SILENT_THREE_DAYS),
    (timedelta(days=7), CALL_TASK),
    (timedelta(days=14), LAST_TEXT),
)
SILENCE_STEPS: Final[tuple[str, ...]] = tuple(kind for _, kind in _LADDER)
STEPS_AFTER: Final[tuple[timedelta, ...]] = tuple(after for after, _ in _LADDER)

Span = tuple[datetime, datetime]


@dataclass(frozen=True, slots=True)
class SilenceStep:
    """The highest step reached, since when, and how soon a person must look.

    `urgency` is None for the nudge, which only texts. `monitoring_ends` is true
    for the last text: the client then shows as no longer monitored.
    """

    kind: str
    urgency: str | None
    reached_at: datetime
    monitoring_ends: bool = False


def silence_step(
    last_heard_at: datetime,
    last_was_worse: bool,
    now: datetime,
    *,
    uncounted: Sequence[Span] = (),
) -> SilenceStep | None:
    """Return the highest step of the ladder reached at `now`, or None.

    Hours inside `uncounted` (pauses, closures; they may overlap) do not count.
    The steps already taken are the caller's to remember: each is taken once.
    """
    spans = _joined(uncounted)
    reached = None
    for hours, kind in _LADDER:
        at = _when_counted(last_heard_at, hours, spans)
        if at > now:
            break
        urgency = _urgency(kind, last_was_worse)
        reached = SilenceStep(kind, urgency, at, monitoring_ends=kind == LAST_TEXT)
    return reached


def _urgency(kind: str, last_was_worse: bool) -> str | None:
    if kind == NUDGE:
        return None
    if kind == SILENT_TWO_DAYS and not last_was_worse:
        return REVIEW
    return NEXT_DAY


def _joined(spans: Sequence[Span]) -> list[Span]:
    """Overlapping spans made one, in order, so that no hour is left out twice."""
    joined: list[Span] = []
    for start, end in sorted(span for span in spans if span[0] < span[1]):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return joined


def _when_counted(since: datetime, hours: timedelta, spans: list[Span]) -> datetime:
    """The moment at which `hours` outside `spans` have passed since `since`."""
    at = since + hours
    for start, end in spans:
        if end <= since:
            continue
        if start >= at:
            break
        at += end - max(start, since)
    return at
