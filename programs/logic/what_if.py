"""How the last days would have gone under the rule for a hold that may rise.

The stored reports are gone through one by one, each seen as of its own moment, with
the alerts, questions and changes of that time; the guards are the ones that rule
live. What a longer hold would have done to the symptoms, nobody can know: the
reports stay as they were, and this only shows when the rule would have acted.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta, tzinfo
from statistics import median

from programs.logic import guards
from programs.logic.dose import Dose
from programs.logic.guards import Approval, HoldStep, Refusal, Standing
from programs.logic.history import Start, prepare, rating
from programs.logic.plan_state import Case, PlanItem, PlanState
from programs.logic.progression import suggestion_of
from programs.logic.reports import SymptomReport, in_order
from programs.logic.response import assess
from programs.logic.suggestion import Suggestion

DAYS = 14
WEEK = timedelta(days=7)
Span = tuple[datetime, datetime | None]


@dataclass(frozen=True, slots=True)
class Alarm:
    """An alert of the past: how urgent, from when, until when (None: still open)."""

    urgency: str
    opened_at: datetime
    resolved_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Past:
    """What happened around the reports, as stored.

    `holds`: the hold of the exercise from each moment on, seconds, oldest first.
    `changes`: when a clinician changed the program. `questions`: from when to when a
    question to the client was open; `still`: when nothing was asked for.
    """

    alarms: Sequence[Alarm] = ()
    holds: Sequence[tuple[datetime, int]] = ()
    changes: Sequence[datetime] = ()
    questions: Sequence[Span] = ()
    still: Sequence[Span] = ()
    due: Sequence[datetime] = ()


@dataclass(frozen=True, slots=True)
class WhatIfDay:
    """One local day: its reports, what was suggested, the hold under the rule.

    `hold` is the one the day ends with, `real` the one that was in force. `steps`
    are those the rule would have made; `refusals` are why it made none at the day's
    last report.
    """

    day: date
    reports: int
    pain: float | None
    suggestion: Suggestion | None
    hold: int
    real: int
    steps: tuple[HoldStep, ...]
    refusals: tuple[Refusal, ...]


def what_if(
    reports: Sequence[SymptomReport],
    *,
    now: datetime,
    zone: tzinfo,
    plan: PlanState,
    approval: Approval,
    past: Past,
    since: datetime | None = None,
    baseline: Start = None,
    days: int = DAYS,
) -> tuple[WhatIfDay, ...]:
    """Return the days that have reports, oldest first; at most `days` of them.

    `plan` gives the exercises as they are now; only the approved one's hold is
    gone through. It is taken as switched on with its range from the first day.
    """
    known = [report for report in in_order(reports) if report.at <= now]
    walk = _Walk(known, zone, plan, approval, past, since, baseline)
    first = (now - timedelta(days=days - 1)).astimezone(zone).date()
    found: dict[date, list[SymptomReport]] = {}
    for report in known:
        day = report.at.astimezone(zone).date()
        if day >= first:
            found.setdefault(day, []).append(report)
    return tuple(walk.day(day, of_day) for day, of_day in found.items())


class _Walk:
    """The state carried from report to report: the hold, and when it last changed."""

    def __init__(
        self,
        reports: Sequence[SymptomReport],
        zone: tzinfo,
        plan: PlanState,
        approval: Approval,
        past: Past,
        since: datetime | None,
        baseline: Start,
    ) -> None:
        self.reports, self.zone, self.plan = reports, zone, plan
        self.approval = replace(approval, on=True)
        self.past, self.since, self.baseline = past, since, baseline
        self.added = 0
        self.changed: datetime | None = None

    def day(self, day: date, reports: Sequence[SymptomReport]) -> WhatIfDay:
        """Go through one day's reports."""
        steps: list[HoldStep] = []
        refusals: tuple[Refusal, ...] = ()
        suggestion = None
        for report in reports:
            case, standing = self._case(report.at), self._standing(report.at)
            suggestion = suggestion_of(case)
            item = self._item(case)
            refusals = guards.step_refusals(case, item, self.approval, standing)
            step = guards.next_step(
                replace(case, plan=replace(case.plan, items=(item,))),
                [self.approval],
                standing,
            )
            if step is not None:
                steps.append(step)
                self.added += step.after - step.before
                self.changed = report.at
        last = reports[-1].at
        ratings = [pain for each in reports if (pain := rating(each)) is not None]
        return WhatIfDay(
            day=day,
            reports=len(reports),
            pain=median(ratings) if ratings else None,
            suggestion=suggestion,
            hold=self._hold(last),
            real=self._real(last),
            steps=tuple(steps),
            refusals=() if steps else refusals,
        )

    def _case(self, at: datetime) -> Case:
        seen = [report for report in self.reports if report.at <= at]
        due = [moment for moment in self.past.due if moment <= at]
        assessment = assess(
            seen,
            now=at,
            zone=self.zone,
            since=self.since,
            due=due,
            baseline=self.baseline,
        )
        history = prepare(
            seen,
            now=at,
            zone=self.zone,
            since=self.since,
            due=due,
            baseline=self.baseline,
        )
        plan = replace(
            self.plan,
            last_change_at=self._last_change(at),
            open_alerts=frozenset(self._alarms_of_week(at)),
            unanswered_ask_back=_inside(self.past.questions, at),
            warning=None,
        )
        return Case(assessment, history, plan)

    def _standing(self, at: datetime) -> Standing:
        approval = self.approval
        return Standing(
            running=not _inside(self.past.still, at),
            open_alert=any(_is_open(alarm, at) for alarm in self.past.alarms),
            ranges=((approval.code, approval.low, approval.high),),
        )

    def _item(self, case: Case) -> PlanItem:
        code, hold = self.approval.code, self._hold(case.history.now)
        for item in case.plan.items:
            if item.code == code:
                return replace(item, dose=replace(item.dose, hold_seconds=hold))
        return PlanItem(code, code, Dose(hold, None, None, None, 1), case.history.now)

    def _hold(self, at: datetime) -> int:
        """The hold under the rule: a real change starts it anew from the real one."""
        changed = [moment for moment, _ in self.past.holds[1:] if moment <= at]
        if changed and self.changed is not None and changed[-1] > self.changed:
            self.added, self.changed = 0, None
        return self._real(at) + self.added

    def _real(self, at: datetime) -> int:
        holds = [hold for moment, hold in self.past.holds if moment <= at]
        first = self.past.holds[0][1] if self.past.holds else self.approval.low
        return holds[-1] if holds else first

    def _last_change(self, at: datetime) -> datetime | None:
        moments = [moment for moment in self.past.changes if moment <= at]
        if self.changed is not None:
            moments.append(self.changed)
        return max(moments, default=None)

    def _alarms_of_week(self, at: datetime) -> list[str]:
        return [
            alarm.urgency
            for alarm in self.past.alarms
            if alarm.opened_at <= at
            and (alarm.resolved_at is None or alarm.resolved_at > at - WEEK)
        ]


def _is_open(alarm: Alarm, at: datetime) -> bool:
    return _inside([(alarm.opened_at, alarm.resolved_at)], at)


def _inside(spans: Sequence[Span], at: datetime) -> bool:
    return any(start <= at and (end is None or at < end) for start, end in spans)
