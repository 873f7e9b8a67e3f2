"""Why a dose may not rise now: every guard, with its reason and what would lift it.

Two kinds of raise exist. One is suggested to a clinician, who decides
(`raise_refusals`). The other happens without asking, inside a range of the hold that
a clinician approved beforehand for one exercise (`step_refusals`); it passes every
guard of the first and some more. Lowering and stopping ask no guard.

All figures are common practice: six replies in three days, a day and three sessions
between changes, a week without an alert somebody had to act on, two days at the
start in which nothing rises on its own. 5 to 60 s is the range of the usual ladder
of holds; one step on it is one change.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from programs.logic.assessment import NEXT_DAY, SAME_DAY
from programs.logic.dose import Dose
from programs.logic.plan_state import THREE_DAYS, Case, PlanItem
from programs.logic.safety_rows import EMERGENCY

FEWEST_REPLIES = 6
BETWEEN_CHANGES, SESSIONS_BETWEEN = timedelta(hours=24), 3
FIRST_DAYS = timedelta(hours=48)
QUIET_AFTER_DECLINE = timedelta(days=7)
BLOCKING = frozenset({EMERGENCY, SAME_DAY, NEXT_DAY})
WORSE = frozenset(
    {"spreading", "new_numbness", "pain_up", "worse_overall", "unstable"}
    | {"skipping", "silent", "no_response"}
)

SHORTEST, LONGEST = 5, 60
HOLDS = (5, 10, 15, 20, 30, 45, 60)


@dataclass(frozen=True, slots=True)
class Refusal:
    """One guard that forbids a raise: its code, why in words, and what lifts it."""

    code: str
    why: str
    lifts: str


@dataclass(frozen=True, slots=True)
class Approval:
    """The range of one exercise's hold in which it may rise without asking, seconds.

    Nothing rises unless a clinician switched it `on`.
    """

    code: str
    low: int
    high: int
    on: bool


@dataclass(frozen=True, slots=True)
class Standing:
    """What else is true of the client now.

    `running`: the program is neither held, paused nor stopped and the client is
    followed by text. `open_alert`: of any urgency, acknowledged or not. `ranges`:
    the range that stands in the program by exercise; an approval given for another
    range does not hold. `declined_at`: when a clinician last declined a raise.
    """

    running: bool
    open_alert: bool
    ranges: tuple[tuple[str, int, int], ...] = ()
    declined_at: datetime | None = None
    review_due: bool = False
    lowered: frozenset[str] = frozenset()

    def range_of(self, code: str) -> tuple[int, int] | None:
        """Return the range that stands for an exercise, None without one."""
        return next(((low, high) for c, low, high in self.ranges if c == code), None)


@dataclass(frozen=True, slots=True)
class HoldStep:
    """One exercise whose hold rises by one step, in seconds."""

    code: str
    before: int
    after: int


def next_hold(hold: int, high: int) -> int | None:
    """Return the hold one step up the ladder, never past `high` or 60 s; None there."""
    top = min(high, LONGEST)
    above = next((each for each in HOLDS if each > hold), LONGEST)
    return min(above, top) if hold < top else None


def raised(dose: Dose, step: HoldStep) -> Dose:
    """Return the dose with the longer hold and nothing else changed."""
    return replace(dose, hold_seconds=step.after)


def next_step(
    case: Case, approvals: Sequence[Approval], standing: Standing
) -> HoldStep | None:
    """Return the one step allowed now: the first exercise no guard forbids."""
    for item in case.plan.items:
        approval = next((each for each in approvals if each.code == item.code), None)
        if approval is None or step_refusals(case, item, approval, standing):
            continue
        hold = item.dose.hold_seconds or 0
        after = next_hold(hold, approval.high)
        if after is not None:
            return HoldStep(item.code, hold, after)
    return None


def step_refusals(
    case: Case, item: PlanItem, approval: Approval | None, standing: Standing
) -> tuple[Refusal, ...]:
    """Return every reason why this hold may not rise without asking; () allows it."""
    return (
        *_approval(item, approval, standing),
        *_running(case, standing),
        *raise_refusals(case),
        *_course(case),
        *_declined(case, standing),
    )


def raise_refusals(case: Case) -> tuple[Refusal, ...]:
    """Return every reason why nothing may be asked for more now; () allows it."""
    found = []
    if case.plan.open_alerts & BLOCKING:
        found.append(
            Refusal(
                "recent_alert",
                "an alert was open within the last week",
                "A week without an alert that somebody had to act on.",
            )
        )
    if case.plan.unanswered_ask_back:
        found.append(
            Refusal(
                "open_question",
                "a question to the client is unanswered",
                "The client's answer.",
            )
        )
    return (*found, *_replies(case), *_since_last_change(case))


def _replies(case: Case) -> tuple[Refusal, ...]:
    replies = len(case.history.within(THREE_DAYS))
    if replies >= FEWEST_REPLIES:
        return ()
    more = FEWEST_REPLIES - replies
    return (
        Refusal(
            "few_replies",
            f"only {replies} of {FEWEST_REPLIES} replies needed in 3 days",
            f"{more} more {'reply' if more == 1 else 'replies'} within 3 days.",
        ),
    )


def _since_last_change(case: Case) -> tuple[Refusal, ...]:
    changed = case.plan.last_change_at
    if changed is None:
        return ()
    found = []
    if (age := case.history.now - changed) < BETWEEN_CHANGES:
        found.append(
            Refusal(
                "too_soon",
                "the last change is less than 24 h old",
                f"{_hours(BETWEEN_CHANGES - age)} more without a change.",
            )
        )
    since = [report for report in case.history.reports if report.at > changed]
    done = sum(report.completion in ("done", "partly") for report in since)
    if done < SESSIONS_BETWEEN:
        more = SESSIONS_BETWEEN - done
        found.append(
            Refusal(
                "few_sessions",
                f"only {done} of {SESSIONS_BETWEEN} sessions done since the last"
                " change",
                f"{more} more {'session' if more == 1 else 'sessions'} done.",
            )
        )
    return tuple(found)


def _approval(
    item: PlanItem, approval: Approval | None, standing: Standing
) -> tuple[Refusal, ...]:
    if approval is None or not approval.on or approval.code != item.code:
        why = "a longer hold without asking is not switched on"
        return (Refusal("off", why, "A clinician switches it on."),)
    if standing.range_of(item.code) != (approval.low, approval.high):
        why = "the range in the program is not the one that was approved"
        return (Refusal("other_range", why, "A clinician approves the range anew."),)
    if item.code in standing.lowered:
        why = "a clinician has made the hold shorter since it was approved"
        return (Refusal("lowered_since", why, "A clinician approves it anew."),)
    hold = item.dose.hold_seconds
    if hold is None or not max(approval.low, SHORTEST) <= hold:
        why = "the hold lies outside the approved range"
        return (Refusal("out_of_range", why, "A hold inside the range."),)
    if next_hold(hold, approval.high) is None:
        why = f"the hold is at the top of its range, {min(approval.high, LONGEST)} s"
        return (Refusal("at_top", why, "A wider range, set by a clinician."),)
    return ()


def _running(case: Case, standing: Standing) -> tuple[Refusal, ...]:
    found = []
    if not standing.running:
        why = "the program is held, paused or stopped, or no texts go out"
        found.append(Refusal("not_running", why, "The program goes on."))
    if standing.review_due:
        why = "the review date of the program has passed"
        found.append(Refusal("review_due", why, "A clinician reviews the program."))
    if standing.open_alert or case.plan.warning is not None:
        why = "an alert is open"
        found.append(Refusal("open_alert", why, "A clinician resolves it."))
    began = case.history.since
    if began is None or case.history.now - began < FIRST_DAYS:
        age = case.history.now - began if began else timedelta(0)
        why = "the program is less than 48 h old"
        found.append(Refusal("first_days", why, f"{_hours(FIRST_DAYS - age)} more."))
    return tuple(found)


def _course(case: Case) -> tuple[Refusal, ...]:
    """The course must ask for more: ready, not worse, not settled, not improving."""
    if case.assessment.urgency or WORSE & set(case.assessment.reasons):
        why = "the last reports are worse, skipping or unclear"
        return (Refusal("worse", why, "Reports without any of these."),)
    if not case.assessment.ready_to_progress:
        why = "the reports do not ask for more: still changing, or too few sessions"
        lifts = "Three days, six reports, 70 % done, pain and reach without change."
        return (Refusal("not_ready", why, lifts),)
    if case.number("ready_to_progress", "settled"):
        why = "symptoms have settled: the next stage is a clinician's choice"
        return (Refusal("settled", why, "A clinician's decision."),)
    return ()


def _declined(case: Case, standing: Standing) -> tuple[Refusal, ...]:
    at = standing.declined_at
    if at is None or case.history.now - at >= QUIET_AFTER_DECLINE:
        return ()
    left = QUIET_AFTER_DECLINE - (case.history.now - at)
    why = "a clinician declined more within the last week"
    return (Refusal("declined", why, f"{_hours(left)} more, or their decision."),)


def _hours(span: timedelta) -> str:
    hours = max(1, round(span / timedelta(hours=1)))
    return f"{hours} h" if hours < 72 else f"{round(hours / 24)} days"
