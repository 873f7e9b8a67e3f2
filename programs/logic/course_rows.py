"""Rows of the decision table for the course: less, more, another way, an end."""

from dataclasses import replace
from math import ceil

from programs.logic.adherence import HALF
from programs.logic.decision_row import Change, Row
from programs.logic.plan_state import Case, next_step

CALM_DAYS = 7
TAPERED_TIMES = 2
RUNGS_BEFORE_REVIEW = 2
MOST_EXERCISES = 3
CALL_HOURS = 168


def _is_calm(case: Case) -> bool:
    return case.number("ready_to_progress", "calm_days") >= CALM_DAYS


def _calm_why(case: Case) -> str:
    days = case.number("ready_to_progress", "calm_days")
    return f"Nothing past the back and pain of 1 at most for {days:.0f} days."


def _taper(case: Case) -> Change:
    text = "Cut to once or twice a day and keep it for 2 to 4 weeks."
    most = max(
        case.plan.items,
        key=lambda i: (i.dose.times_per_day, i.added_at, i.code),
        default=None,
    )
    if most is None or most.dose.times_per_day <= TAPERED_TIMES:
        return Change("taper", text)
    less = replace(most.dose, times_per_day=TAPERED_TIMES)
    return Change("taper", text, most.code, dose=less)


def _is_too_much(case: Case) -> bool:
    week = case.week()
    replied, confirmed = week.reply_rate, week.confirmed_rate
    if replied is None or confirmed is None:
        return False
    return case.has("skipping") and replied >= HALF and confirmed < HALF


def _too_much_why(case: Case) -> str:
    week = case.week()
    return (
        f"In 7 days {week.done} of {week.prescribed} sessions were confirmed, with"
        f" {week.done + week.not_done} answered."
    )


def _half_confirmed(case: Case) -> str:
    week = case.week()
    more = max(1, ceil(HALF * week.prescribed) - week.done)
    sessions = "session" if more == 1 else "sessions"
    return f"{more} more {sessions} confirmed within 7 days: half of them all."


def _is_without_effect(case: Case) -> bool:
    return case.has("no_response") and case.plan.rungs_tried >= RUNGS_BEFORE_REVIEW


def _without_effect_why(case: Case) -> str:
    days, change = (
        case.number("no_response", "days"),
        case.number("no_response", "change"),
    )
    return (
        f"{days:.0f} days and {case.plan.rungs_tried} rungs changed pain by"
        f" {change:+.1f}, the reach not at all."
    )


def _is_settled(case: Case) -> bool:
    return case.number("ready_to_progress", "settled") > 0


def _ready_why(case: Case) -> str:
    get = case.assessment.numbers["ready_to_progress"]
    share = 100 * get.get("done_share", 0.0)
    return (
        f"{get['days']:.0f} days, {get['reports']:.0f} reports, {share:.0f} % done,"
        f" pain change {get.get('pain_change', 0.0):+.1f}, nothing farther or worse."
    )


def _up_a_rung(case: Case) -> Change:
    step = next_step(case)
    if step is None:
        text = (
            "No rung is left to do alone: a clinician's hands or a sideways part next."
        )
        return Change("review_direction", text)
    item, above = step
    text = f"Exchange {item.name} for {case.plan.name_of(above)}, one rung up."
    return Change("progress", text, item.code, above)


def _keep_why(case: Case) -> str:
    if case.number("working_keep", "drawing_in"):
        return "Symptoms are drawing back toward the spine."
    change = case.number("working_keep", "pain_change")
    return f"Pain is easing ({change:+.1f} within the last week)."


def _call_why(case: Case) -> str:
    return f"No reply for {case.number('silent', 'hours'):.0f} h."


def _call(case: Case) -> Change:
    if case.number("silent", "hours") >= CALL_HOURS:
        return Change("call", "Call: texts alone have not brought an answer.")
    return Change("call", "Look at the last report and call if it was worse.")


COURSE_ROWS = (
    Row(
        "14",
        _is_calm,
        _calm_why,
        _taper,
        "A day with pain above 1 or any place past the back.",
        "Common practice",
        when="Nothing past the back and pain of 1 at most for 7 days.",
        does="Cut to once or twice a day for 2 to 4 weeks.",
    ),
    Row(
        "9",
        _is_too_much,
        _too_much_why,
        lambda case: Change(
            "fewer_exercises",
            f"Keep {MOST_EXERCISES} exercises at most, and fewer times a day.",
        ),
        "Half of the sessions confirmed.",
        "Henry 1999; Medina-Mirapeix 2009",
        when="Under half of a week's sessions confirmed, half or more answered.",
        does="At most three exercises, and fewer times a day.",
        lifts=_half_confirmed,
    ),
    Row(
        "12",
        _is_without_effect,
        _without_effect_why,
        lambda case: Change(
            "review_direction",
            "Review the direction: a sideways part, then flexion, then other care.",
        ),
        "Any move of the reach, or a change of 1 point.",
        "Albert, Hauge & Manniche 2012; common practice",
        when="Two weeks and two rungs without any change.",
        does="Review the direction.",
    ),
    Row(
        "11",
        _is_settled,
        _ready_why,
        lambda case: Change(
            "function", "Consider recovery of function: a flexion trial, seen by you."
        ),
        "Pain above 2 or any place past the back.",
        "Repeated-movement convention",
        when="Three days, six reports, 70 % done; pain of 2 at most, only the back.",
        does="Recovery of function, seen by the clinician.",
    ),
    Row(
        "10",
        lambda case: case.has("ready_to_progress"),
        _ready_why,
        _up_a_rung,
        "A change of 1 point or one zone either way.",
        "Repeated-movement convention; common practice",
        when="Three days, six reports, 70 % done; pain and zone the same.",
        does="One rung up.",
    ),
    Row(
        "11",
        lambda case: case.has("working_keep"),
        _keep_why,
        lambda case: Change(
            "keep", "Stay on this rung, the smallest force that works."
        ),
        "Three days without change.",
        "Repeated-movement convention",
        when="Symptoms draw back toward the spine, or pain eases.",
        does="Stay on this rung.",
    ),
    Row(
        "15",
        lambda case: case.has("silent"),
        _call_why,
        _call,
        "Any reply.",
        "Macedo 2012: calls restore replies",
        when="Nothing was heard for two days.",
        does="Look at the last report, or call.",
    ),
)
