"""Rows of the decision table for a client in trouble: stop, go back, lower, see."""

from collections.abc import Callable

from programs.logic import ladder
from programs.logic.assessment import SAME_DAY
from programs.logic.decision_row import Change, Row
from programs.logic.explanation import place, sentence
from programs.logic.plan_state import Case, lowered

EMERGENCY = "emergency"
# A course of six weeks with severe leg pain (6 and above) and no 30 % fall belongs
# in medical hands: older referral advice for nerve-root pain, six-week rule.
SIX_WEEKS_DAYS, STILL_SEVERE, ENOUGH_FALL = 42, 6.0, 0.3
RISE = 2.0  # smallest change beyond error, Childs, Piva & Fritz 2005


def _is_emergency(case: Case) -> bool:
    return case.plan.warning == EMERGENCY


def _is_paused(case: Case) -> bool:
    return case.plan.warning == SAME_DAY or case.has("new_numbness")


def _pause_why(case: Case) -> str:
    if case.has("new_numbness"):
        return _says("new_numbness")(case)
    return "The client used words of warning that need a person today."


def _says(reason: str) -> Callable[[Case], str]:
    """Return the words of a reason, with its numbers."""
    return lambda case: sentence(reason, case.assessment.numbers.get(reason, {}))


def _back_where(case: Case) -> str:
    """The usual reach again, by its name where one is known."""
    numbers = case.assessment.numbers.get("spreading", {})
    if "from_zone" not in numbers:
        return "Two reports at least 6 h apart at the usual reach or nearer."
    usual = place(numbers["from_zone"])
    return f"Two reports at least 6 h apart at {usual} or nearer."


def _back_to_usual(case: Case) -> str:
    usual = case.number("pain_up", "usual")
    return f"A rated day under {usual + RISE:.1f}: the usual {usual:.1f} plus 2."


def _enough_fall(case: Case) -> str:
    start = case.history.start_pain or 0.0
    return f"Pain under {max(STILL_SEVERE, (1 - ENOUGH_FALL) * start):.1f} for a week."


def _back_a_rung(case: Case) -> Change:
    """Leave out the last-added exercise for the rung below it, if there is one."""
    item = case.plan.last_added
    if item is None:
        return Change("pause", "Rest in the easiest position and review.")
    below = ladder.previous_rung(item.code, case.plan.places)
    if below is None:
        text = f"Leave out {item.name}, rest in the easiest position, and review the"
        return Change("review_direction", f"{text} direction.", item.code)
    text = f"Leave out {item.name} and go back to {case.plan.name_of(below)}."
    return Change("step_back", text, item.code, below)


def _lower(case: Case) -> Change:
    item = case.plan.last_added
    less = lowered(item) if item else None
    if item is None or less is None:
        return _back_a_rung(case)
    text = f"Keep {item.name} and lower its dose."
    return Change("lower", text, item.code, dose=less)


def _is_skipped_for_pain(case: Case) -> bool:
    days = case.number("skipping", "days_without")
    return case.plan.skipped_for_pain and days >= 2


def _skipped_why(case: Case) -> str:
    days = case.number("skipping", "days_without")
    return f"Nothing done on {days:.0f} days because of pain; call."


def _is_medical(case: Case) -> bool:
    start, now = case.history.start_pain, case.usual_pain()
    if start is None or now is None or case.days_running() < SIX_WEEKS_DAYS:
        return False
    return now >= STILL_SEVERE and start - now < ENOUGH_FALL * start


def _medical_why(case: Case) -> str:
    weeks = case.days_running() / 7
    start, now = case.history.start_pain or 0.0, case.usual_pain() or 0.0
    return f"After {weeks:.0f} weeks pain is {now:.1f}, at the start {start:.1f}."


SAFETY_ROWS = (
    Row(
        "1",
        _is_emergency,
        lambda case: "The client used emergency words.",
        lambda case: Change("stop", "Stop the program; send the safety words."),
        "Only a clinician who has spoken to the client.",
        "International framework for red flags, Finucane 2020",
        when="Emergency words, now or not yet decided on.",
        does="Stop the program.",
    ),
    Row(
        "2",
        _is_paused,
        _pause_why,
        lambda case: Change("pause", "Pause, ask about warning signs, and review."),
        "An answer that nothing is new, seen by a clinician.",
        "International framework for red flags, Finucane 2020; common practice",
        when="Warning words for today, or numbness or weakness newly stated.",
        does="Pause, ask back, review.",
    ),
    Row(
        "3",
        lambda case: case.has("spreading"),
        _says("spreading"),
        _back_a_rung,
        "Two reports at least 6 h apart at the usual reach or nearer.",
        "Repeated-movement convention; common practice",
        when="One zone farther in two reports 6 h apart, or said to move down.",
        does="Leave out the last-added exercise, one rung back.",
        lifts=_back_where,
    ),
    Row(
        "4",
        lambda case: case.has("pain_up"),
        _says("pain_up"),
        _lower,
        "A day under 2 points above the usual.",
        "Smallest change beyond error, Childs, Piva & Fritz 2005; common practice",
        when="Pain 2 points above the usual on two rated days, the same zone.",
        does="A lower dose of the last-added exercise.",
        lifts=_back_to_usual,
    ),
    Row(
        "8",
        lambda case: case.plan.lateral_shift_changed,
        lambda case: "A lateral shift is new or has changed sides.",
        lambda case: Change(
            "pause", "Hold extension, side glide first, and see the client."
        ),
        "A clinician's look: a stated shift is only reported.",
        "Clare, Adams & Maher 2003 on seeing a shift; common practice",
        when="A lateral shift is new or has changed sides.",
        does="Hold extension, side glide first, see the client.",
    ),
    Row(
        "13",
        _is_medical,
        _medical_why,
        lambda case: Change("medical_review", "Ask for a medical review."),
        "A fall of 30 % from the start, or pain under 6.",
        "Older referral advice for nerve-root pain, six weeks; Ostelo 2008 for 30 %",
        when="Six weeks, pain of 6 or more and no fall of 30 %.",
        does="Medical review.",
        lifts=_enough_fall,
    ),
    Row(
        "7",
        _is_skipped_for_pain,
        _skipped_why,
        _back_a_rung,
        "A session done.",
        "Common practice",
        when="Two days with nothing done because of pain.",
        does="One rung back, and call.",
    ),
    Row(
        "5",
        lambda case: case.has("back_up_leg_in"),
        _says("back_up_leg_in"),
        lambda case: Change("keep", "Keep going and reassure."),
        "Symptoms reaching farther down the leg.",
        "Repeated-movement textbooks, secondary summaries",
        when="The back hurts more while the leg clears.",
        does="Keep going and reassure.",
    ),
    Row(
        "6",
        lambda case: case.plan.settles,
        lambda case: "Worse during the session and back within 30 minutes.",
        lambda case: Change("keep", "Keep this dose and do not progress."),
        "Worse that stays longer than 30 minutes.",
        "Common practice",
        when="Worse during the session, back to the start within 30 minutes.",
        does="Keep, and do not progress.",
    ),
)
