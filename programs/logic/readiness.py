"""Ready for more, still drawing in, or getting nowhere.

The smallest force that works is kept: a client whose symptoms still draw in or whose
pain still falls stays where they are. Someone who has not changed in two weeks needs
another look, because the group without any effect does badly (Albert 2012).
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from programs.logic import adherence, pain_course
from programs.logic.assessment import REVIEW, Finding
from programs.logic.history import History
from programs.logic.location import CENTRALIZING
from programs.logic.reach import SideReach, Sighting
from programs.logic.reports import SymptomReport
from programs.logic.trend import middle

# All common practice: three days and six reports, 70 % of stated sessions done,
# pain of 2 or less, a change of less than 1 point.
SPAN = timedelta(days=7)
MIN_DAYS, MIN_REPORTS = 3, 6
DONE_SHARE = 0.7
SETTLED_PAIN = 2.0
CALM_PAIN = 1.0
NO_CHANGE = 1.0
FRESH = timedelta(hours=48)

NO_RESPONSE_AFTER = timedelta(days=14)
# Points a day; within it a slope is flat (Theil-Sen over two weeks).
FLAT_SLOPE = 0.05


@dataclass(frozen=True, slots=True)
class Course:
    """The last week since the program began, as readiness reads it.

    `highest_zone` and `lowest_zone` are of daily medians, None without any;
    `pain_change` is later minus earlier days' median, None under two rated days.
    """

    days: int
    reports: int
    done_share: float | None
    lowest_zone: float | None
    highest_zone: float | None
    pain_change: float | None
    settled: bool

    @property
    def stalled(self) -> bool:
        """Pain within a point and one zone throughout."""
        if self.pain_change is None or self.highest_zone is None:
            return False
        moved = self.highest_zone - (self.lowest_zone or 0.0)
        return abs(self.pain_change) < NO_CHANGE and moved < 1

    @property
    def long_enough(self) -> bool:
        """Three days and six reports."""
        return self.days >= MIN_DAYS and self.reports >= MIN_REPORTS

    @property
    def adherent(self) -> bool:
        """At least 70 % of the sessions spoken of were done."""
        return self.done_share is not None and self.done_share >= DONE_SHARE


def course(history: History) -> Course:
    """Return the last week's course, no earlier than the program's start."""
    seen = history.seen_within(SPAN)
    if history.since is not None:
        seen = tuple(s for s in seen if s.at >= history.since)
    days = {s.day for s in seen}
    pain = {day: value for day, value in history.pain_days.items() if day in days}
    zones = _levels(history, seen)
    return Course(
        days=len(days),
        reports=len(seen),
        done_share=adherence.share_done(s.report.completion for s in seen),
        lowest_zone=min(zones, default=None),
        highest_zone=max(zones, default=None),
        pain_change=_pain_change(list(pain.values())),
        settled=_settled(history, seen, pain),
    )


def _levels(history: History, seen: Sequence[Sighting]) -> list[float]:
    """Return the affected side's daily levels; a side that stays clear is no evidence.

    By day, because one report in ten names a neighboring place by mistake.
    """
    if not seen:
        return []
    found = [_daily(side, seen[0].at) for side in history.sides]
    return max(found, key=lambda zones: (max(zones, default=-1.0), len(zones)))


def _daily(side: SideReach, first: datetime) -> list[float]:
    days: dict[date, list[float]] = {}
    for each in side.located[bisect_left(side.times, first) :]:
        days.setdefault(each.day, []).append(float(each.zone or 0))
    return [middle(levels) for levels in days.values()]


def _pain_change(values: Sequence[float]) -> float | None:
    if len(values) < 2:
        return None
    half = len(values) // 2
    return middle(values[-half:]) - middle(values[:half])


def _settled(
    history: History, seen: Sequence[Sighting], pain: dict[date, float]
) -> bool:
    """Return whether the last 3 days hold nothing past the back and pain of 2 at most.

    A leg without a level is past the back.
    """
    first = history.today - timedelta(days=MIN_DAYS - 1)
    values = [value for day, value in pain.items() if day >= first]
    if not values or max(values) > SETTLED_PAIN or not seen or seen[-1].day < first:
        return False
    recent = [s for s in history.seen if s.day >= first]
    clear = not any(past_back(s.report) for s in recent)
    return clear and any(s.zone is not None for s in recent)


def past_back(report: SymptomReport) -> bool:
    """Return whether a report names any place beyond the back."""
    return any(
        area != "back" and state != "gone" for area, state in report.areas.items()
    )


def ready_to_progress(
    history: History, week: Course, *, held_back: bool
) -> Finding | None:
    """Return the finding that a clinician may move this client on.

    Three days and six reports, 70 % of stated sessions done, nothing farther or
    worse (`held_back`), heard from in 48 h, and settled (next stage) or stalled
    (next rung).
    """
    if held_back or not _current(history) or not (week.long_enough and week.adherent):
        return None
    if not (week.settled or week.stalled):
        return None
    numbers = _course_numbers(week) | {"calm_days": float(calm_days(history))}
    return Finding("ready_to_progress", None, numbers)


def calm_days(history: History) -> int:
    """Return the latest reported days in a row with pain of 1 at most, none past back.

    Counted back from the last; a day without a report is no evidence either way.
    """
    beyond = {s.day for s in history.seen if past_back(s.report)}
    count = 0
    for day, pain in reversed(history.pain_days.items()):
        if pain > CALM_PAIN or day in beyond:
            break
        count += 1
    return count


def _current(history: History) -> bool:
    return history.last is not None and history.now - history.last.at <= FRESH


def _course_numbers(week: Course) -> dict[str, float]:
    numbers = {
        "days": float(week.days),
        "reports": float(week.reports),
        "settled": float(week.settled),
        "stalled": float(week.stalled and not week.settled),
    }
    if week.done_share is not None:
        numbers["done_share"] = week.done_share
    if week.pain_change is not None:
        numbers["pain_change"] = week.pain_change
    if week.highest_zone is not None:
        numbers["zone"] = float(week.highest_zone)
    return numbers


def working_keep(
    history: History, week: Course, *, location_trend: str, pain_trend: str
) -> Finding | None:
    """Return the finding that it works as it is: still drawing in or easing."""
    easing = week.pain_change is not None and week.pain_change <= -NO_CHANGE
    drawing_in = location_trend == CENTRALIZING or _says_toward_back(history)
    improving = pain_trend == pain_course.IMPROVING or (
        easing and history.enough_for_pain_trend()
    )
    if not _current(history) or week.settled or not (drawing_in or improving):
        return None
    numbers = _course_numbers(week) | {
        "drawing_in": float(drawing_in),
        "easing": float(improving),
    }
    return Finding("working_keep", None, numbers)


def _says_toward_back(history: History) -> bool:
    stated = [r.shift for r in history.within(FRESH) if r.shift]
    return bool(stated) and stated[-1] == "toward_back"


def no_response(
    history: History,
    week: Course,
    slow: pain_course.SlowChange | None,
    *,
    moved: bool,
) -> Finding | None:
    """Return the finding that two weeks changed nothing: review.

    Flat pain and the same zone for 14 days. Not said of someone who has little left
    to lose, nor of someone who did less than half: that was no trial. `moved` is any
    change of location.
    """
    began = history.started
    if moved or began is None or history.now - began < NO_RESPONSE_AFTER:
        return None
    if slow is None or abs(slow.slope) > FLAT_SLOPE or abs(slow.change) >= NO_CHANGE:
        return None
    untried = week.done_share is not None and week.done_share < adherence.HALF
    if week.settled or untried or not _current(history):
        return None
    days = (history.now - began) / timedelta(days=1)
    numbers = {"slope": slow.slope, "change": slow.change, "days": days}
    return Finding("no_response", REVIEW, numbers)
