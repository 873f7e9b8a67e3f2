"""The response engine: reports in, one assessment out.

Location decides and the pain number supports: pain drawing back to the spine is good
even while the back hurts more, pain reaching farther is not, whatever its number.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta, tzinfo

from programs.logic import (
    contact,
    location,
    pain_course,
    reach,
    readiness,
    spreading,
)
from programs.logic.assessment import (
    NEXT_DAY,
    REASONS,
    REVIEW,
    Assessment,
    Finding,
    Numbers,
    most_urgent,
)
from programs.logic.history import History, Start, prepare
from programs.logic.missing import missing
from programs.logic.reports import SymptomReport
from programs.logic.sensation import new_numbness
from programs.logic.trend import USEFUL_CHANGE, middle

WORSE_ONCE, WORSE_TWICE = timedelta(hours=48), timedelta(hours=72)
FARTHER_ONCE = "farther_once"


def assess(
    reports: Sequence[SymptomReport],
    *,
    now: datetime,
    zone: tzinfo,
    since: datetime | None = None,
    due: Sequence[datetime] = (),
    baseline: Start = None,
) -> Assessment:
    """Return what a client's reports say as of `now`.

    Reports come in any order and may repeat; the answer is the same. `zone` is the
    client's. `since` is when the program began; `due` are the times of reminders
    sent, for silence and skipping (none given: silence is counted in plain hours);
    `baseline` is the starting point, one report or one a side where the legs differ,
    compared with until five days of reports exist.
    Times are aware; a report later than `now` is not known yet. Raises nothing.
    """
    history = prepare(
        reports, now=now, zone=zone, since=since, due=due, baseline=baseline
    )
    return assessed(history)


def assessed(history: History) -> Assessment:
    """Return what a prepared history says as of its `now`."""
    sides = spreading.side_runs(history)
    standing = spreading.runs(history, sides)
    trends = location.trends(history)
    where = location.location_trend(history, trends, standing)
    pair, slow = pain_course.last_pair(history), pain_course.slow_change(history)
    pain = pain_course.pain_trend(history, pair, slow)
    found = _harm(history, standing, pair, inward=where == location.CENTRALIZING)
    found += _contact(history, found)
    states = _States(
        standing=bool(standing), where=where, pain=pain, slow=slow, trends=trends
    )
    found += _progress(history, found, states)
    found.append(location.unstable(history, trends, sides))
    numbers = spreading.farther_once(history, standing)
    assessment = _assessment(where, pain, found, farther=numbers)
    unclear = missing(history, assessment)
    return replace(assessment, missing=unclear) if unclear else assessment


@dataclass(frozen=True, slots=True)
class _States:
    """What is known of reach and pain before progress is asked about."""

    standing: bool
    where: str
    pain: str
    slow: pain_course.SlowChange | None
    trends: Sequence[location.SideTrend]


def _harm(
    history: History,
    standing: Sequence[spreading.Run],
    pair: pain_course.Pair | None,
    *,
    inward: bool,
) -> list[Finding | None]:
    """Return the findings that somebody is getting worse, or only seems to be."""
    back_up = back_up_leg_in(history, inward=inward)
    eased = inward or back_up is not None or location.drew_in(history) >= 1
    return [
        spreading.spreading(history, standing),
        new_numbness(history),
        None if eased else pain_course.pain_up(history, pair),
        None if back_up else worse_overall(history, inward=inward),
        back_up,
    ]


def _contact(history: History, found: Sequence[Finding | None]) -> list[Finding | None]:
    worse = {f.reason for f in found if f} & {"spreading", "pain_up", "worse_overall"}
    last_worse = history.last is not None and history.last.overall == "worse"
    return [
        contact.silent(history, was_worse=bool(worse) or last_worse),
        contact.skipping(history),
    ]


def _progress(
    history: History, found: Sequence[Finding | None], states: _States
) -> list[Finding | None]:
    """Return at most one of: keep it as it works, ready for more, no response."""
    reasons = {f.reason for f in found if f}
    harmed = states.standing or bool(reasons - {"back_up_leg_in", "skipping"})
    week = readiness.course(history)
    if not harmed:
        keep = readiness.working_keep(
            history, week, location_trend=states.where, pain_trend=states.pain
        )
        if keep is not None:
            moves = location.drawn_in(history, states.trends)
            return [replace(keep, numbers={**keep.numbers, **moves})]
    moved = states.where != location.UNCHANGED
    return [
        readiness.ready_to_progress(history, week, held_back=harmed or bool(reasons)),
        readiness.no_response(history, week, states.slow, moved=moved),
    ]


def worse_overall(history: History, *, inward: bool = False) -> Finding | None:
    """Return the finding that the client says it is worse overall.

    Once in 48 h is a review item, because every worsening reply must be seen by a
    person; two in a row at least 6 h apart in 72 h are next_day (common practice).
    While symptoms draw in it stays a review item, and a report that says so itself
    does not count.
    """
    stated = [r for r in history.within(WORSE_TWICE) if r.overall]
    worse = _worse_at_the_end(stated)
    if not worse:
        return None
    twice = worse[-1].at - worse[0].at >= spreading.APART
    if not twice and history.now - worse[-1].at > WORSE_ONCE:
        return None
    numbers = {
        "reports": float(len(worse)),
        "hours_ago": history.hours_since(worse[-1].at),
        "first_hours_ago": history.hours_since(worse[0].at),
    }
    return Finding(
        "worse_overall", NEXT_DAY if twice and not inward else REVIEW, numbers
    )


def _worse_at_the_end(stated: Sequence[SymptomReport]) -> list[SymptomReport]:
    worse: list[SymptomReport] = []
    for report in reversed(stated):
        if report.overall != "worse" or report.shift == "toward_back":
            break
        worse.insert(0, report)
    return worse


def back_up_leg_in(history: History, *, inward: bool) -> Finding | None:
    """Return the finding that the back hurts more while the leg clears; no alert.

    Acceptable in repeated-movement teaching: the back is up by 2 points, and the
    symptoms drew in by a zone or the leg is down by 2.
    """
    week = [each.report for each in history.seen_within(readiness.SPAN)]
    apart = [r for r in (*history.starts, *week) if r.pain_by_area]
    leg = _change([_rated(r, back=False) for r in apart])
    leg_down = leg is not None and leg <= -USEFUL_CHANGE
    if not (inward or leg_down):
        return None
    back = _change([_rated(r, back=True) for r in apart])
    if back is None:
        # the overall rating is the back's once the leg has cleared
        back = _change([reach.rating(r) for r in (*history.starts, *week)])
    if back is None or back < USEFUL_CHANGE:
        return None
    numbers = {"back_change": back, "drawn_in": float(inward)}
    if leg is not None:
        numbers["leg_change"] = leg
    return Finding("back_up_leg_in", None, numbers)


def _change(ratings: Sequence[float | None]) -> float | None:
    """Return the latest rating of a week minus the median of those before it."""
    values = [rating for rating in ratings if rating is not None]
    return values[-1] - middle(values[:-1]) if len(values) > 1 else None


def _rated(report: SymptomReport, *, back: bool) -> float | None:
    """Return the rating of the back, or the worst of the places beyond it."""
    areas = report.pain_by_area
    rated = [p for area, p in areas.items() if (area == "back") == back]
    return max(map(float, rated), default=None)


def _assessment(
    where: str,
    pain: str,
    found: Sequence[Finding | None],
    *,
    farther: Numbers | None,
) -> Assessment:
    known = {finding.reason: finding for finding in found if finding}
    reasons = tuple(reason for reason in REASONS if reason in known)
    numbers: Mapping[str, Numbers] = {r: known[r].numbers for r in reasons}
    if farther is not None:
        numbers = {**numbers, FARTHER_ONCE: farther}
    return Assessment(
        location_trend=where,
        pain_trend=pain,
        urgency=most_urgent(known[r].urgency for r in reasons),
        reasons=reasons,
        numbers=numbers,
        ready_to_progress="ready_to_progress" in known,
    )
