"""Silence and skipped sessions: no news is not good news.

At 27 % replies the location rule misses half of those who spread, so silence is a
reason of its own. A call restores what texts alone lose (Macedo 2012).
"""

from datetime import date, datetime, timedelta
from itertools import pairwise

from programs.logic import adherence
from programs.logic.assessment import NEXT_DAY, REVIEW, Finding
from programs.logic.history import History

# Hours without a reply: list at 48, act next day at 72 (common practice).
REVIEW_HOURS, NEXT_DAY_HOURS = 48.0, 72.0
# One day without a reminder counts at most as a day of silence, so that a pause or
# a closure in the middle does not add up against the client.
LONGEST_GAP = timedelta(hours=24)

WEEK = timedelta(days=7)
FEWEST_STATED = 4
SKIPPED_DAYS = 2


def silent(history: History, *, was_worse: bool) -> Finding | None:
    """Return the finding that nobody answered: review at 48 h, next_day at 72 h.

    `was_worse` (the last report was bad) makes it next_day at 48 h. Counted from the
    last report, or the start; with reminders given, only while they were sent. With
    none given it counts plain hours, because the caller who knows of a pause knows
    of reminders.
    """
    start = _quiet_from(history)
    if start is None:
        return None
    asked = [moment for moment in history.due if moment > start]
    if history.due and not asked:
        return None
    hours = _quiet_hours(history, start, asked)
    if hours < REVIEW_HOURS:
        return None
    soon = was_worse or hours >= NEXT_DAY_HOURS
    numbers = {"hours": hours, "unanswered": float(len(asked))}
    return Finding("silent", NEXT_DAY if soon else REVIEW, numbers)


def _quiet_from(history: History) -> datetime | None:
    """Return the last report, not before the start; with none, the first question."""
    known = [history.last.at] if history.last else []
    known += [history.since] if history.since else []
    if known:
        return min(max(known), history.now)
    return history.due[0] if history.due else None


def _quiet_hours(history: History, start: datetime, asked: list[datetime]) -> float:
    if not asked:
        return history.hours_since(start)
    marks = [start, *asked, history.now]
    gaps = [end - begin for begin, end in pairwise(marks)]
    counted = sum((min(gap, LONGEST_GAP) for gap in gaps), timedelta())
    return counted / timedelta(hours=1)


def skipping(history: History) -> Finding | None:
    """Return the finding that sessions are not done: review.

    Under half of the sessions of 7 days confirmed, where at least half of the
    reminders were answered (fewer answers is silence, not skipping); or nothing done
    on the last two days anything was said about.
    """
    week = history.seen_within(WEEK)
    stated = [(s.day, s.report.completion) for s in week if s.report.completion]
    share = adherence.share_done(word for _, word in stated)
    if share is None:
        return None
    sent = sum(moment > history.now - WEEK for moment in history.due)
    confirmed = share * len(stated) / sent if sent else share
    answered = not sent or len(week) >= adherence.HALF * sent
    few = len(stated) >= FEWEST_STATED and answered and confirmed < adherence.HALF
    days_without = _days_without(stated)
    if not few and days_without < SKIPPED_DAYS:
        return None
    numbers = {
        "done_share": share,
        "confirmed_share": min(1.0, confirmed),
        "stated": float(len(stated)),
        "days_without": float(days_without),
    }
    return Finding("skipping", REVIEW, numbers)


def _days_without(stated: list[tuple[date, str]]) -> int:
    """Return how many of the latest local days have sessions stated and none done."""
    days: dict[date, list[str]] = {}
    for day, word in stated:
        days.setdefault(day, []).append(word)
    count = 0
    for day in sorted(days, reverse=True):
        if set(days[day]) != {adherence.SKIPPED}:
            break
        count += 1
    return count
