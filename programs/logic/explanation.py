"""An assessment in plain words, each sentence with the numbers it rests on."""

from collections.abc import Callable, Mapping

from programs.logic.assessment import Assessment, Numbers

PLACES = ("the back", "the buttock or hip", "the thigh", "the knee or calf", "the foot")
SENSATIONS = ("Tingling", "Numbness", "Weakness")


def place(zone: float) -> str:
    """Return the words for a coarse zone; a level between two counts as the farther."""
    return PLACES[min(len(PLACES) - 1, max(0, int(zone + 0.5)))]


def explain(assessment: Assessment) -> tuple[str, ...]:
    """Return one sentence a reason, in the order of the reasons."""
    return tuple(
        sentence(reason, assessment.numbers.get(reason, {}))
        for reason in assessment.reasons
    )


def sentence(reason: str, numbers: Numbers) -> str:
    """Return one reason in words; an unknown one is named as it is."""
    words = _WORDS.get(reason)
    return words(numbers) if words else f"{reason.replace('_', ' ').capitalize()}."


def _reports(numbers: Numbers) -> str:
    count = numbers.get("reports", 1.0)
    return f"{count:.0f} report{'' if count == 1 else 's'}"


def _side(numbers: Numbers) -> str:
    return {-1.0: " on the left", 1.0: " on the right"}.get(
        numbers.get("side", 0.0), ""
    )


def _ago(numbers: Numbers) -> str:
    hours = numbers.get("hours_ago", 0.0)
    return f"{hours:.0f} h ago" if hours >= 1 else "within the hour"


def _spreading(numbers: Numbers) -> str:
    side, count = _side(numbers), f"{_reports(numbers)}, the last {_ago(numbers)}"
    if "to_zone" not in numbers:
        return f"The client says that symptoms move down the leg{side} ({count})."
    reach = f"{place(numbers['to_zone'])}{side}"
    if "from_zone" not in numbers:
        return f"Symptoms spread to {reach} ({count})."
    if numbers.get("zones", 1.0) < 1:
        return f"The client says that symptoms move down, at {reach} ({count})."
    usual = place(numbers["from_zone"])
    return f"Symptoms reach farther, from {usual} to {reach} ({count})."


def _new_numbness(numbers: Numbers) -> str:
    word = SENSATIONS[int(numbers.get("weight", 1.0))]
    return f"{word} newly stated{_side(numbers)}, {_ago(numbers)}."


def _pain_up(numbers: Numbers) -> str:
    days = f"{numbers['earlier']:.1f} and {numbers['latest']:.1f}"
    usual = f"usually {numbers['usual']:.1f}"
    if "spread" in numbers:
        usual += f", give or take {numbers['spread']:.1f}"
    return f"Pain {days} on the last two rated days, {usual}."


def _worse_overall(numbers: Numbers) -> str:
    return f"The client says worse, in {_reports(numbers)}, the last {_ago(numbers)}."


def _silent(numbers: Numbers) -> str:
    missed = numbers.get("unanswered", 0.0)
    after = f", {missed:.0f} reminders unanswered" if missed else ""
    return f"No reply for {numbers['hours']:.0f} h{after}."


def _skipping(numbers: Numbers) -> str:
    days = numbers.get("days_without", 0.0)
    share = (
        f"{100 * numbers['done_share']:.0f} % of {numbers['stated']:.0f} sessions done"
    )
    last = f"; none on the last {days:.0f} days" if days >= 2 else ""
    return f"In 7 days {share}{last}."


def _no_response(numbers: Numbers) -> str:
    return (
        f"Nothing has changed in two weeks: pain {numbers['change']:+.1f}, the reach"
        f" the same, {numbers['days']:.0f} days into the program."
    )


def _unstable(numbers: Numbers) -> str:
    turns = numbers["turns"]
    if "swings" in numbers:
        near, far = place(numbers["from_zone"]), place(numbers["to_zone"])
        return (
            f"The reach{_side(numbers)} goes out and back: {numbers['swings']:.0f}"
            f" times in three weeks, from {near} to {far}."
        )
    times = "once" if turns == 1 else f"{turns:.0f} times"
    return f"The reach{_side(numbers)} turned round {times} in 5 days."


def _back_up(numbers: Numbers) -> str:
    up = f"The back hurts more ({numbers['back_change']:+.1f}) while the leg clears"
    return f"{up}, which is acceptable."


def _working_keep(numbers: Numbers) -> str:
    if "to_zone" in numbers:
        near, far = place(numbers["to_zone"]), place(numbers["from_zone"])
        held = f"held for {numbers['held_hours']:.0f} h"
        return f"Symptoms drew in from {far} to {near}, {held}; keep it as it is."
    if numbers.get("drawing_in"):
        return "Symptoms are drawing back toward the spine; keep it as it is."
    return f"Pain is easing ({numbers.get('pain_change', 0.0):+.1f}); keep it as it is."


def _ready(numbers: Numbers) -> str:
    stage = "next stage" if numbers.get("settled") else "next rung"
    return (
        f"Ready for the {stage}: {numbers['days']:.0f} days,"
        f" {numbers['reports']:.0f} reports, {100 * numbers['done_share']:.0f} % done,"
        f" pain {numbers.get('pain_change', 0.0):+.1f}, nothing farther or worse."
    )


_WORDS: Mapping[str, Callable[[Numbers], str]] = {
    "spreading": _spreading,
    "new_numbness": _new_numbness,
    "pain_up": _pain_up,
    "worse_overall": _worse_overall,
    "silent": _silent,
    "skipping": _skipping,
    "no_response": _no_response,
    "unstable": _unstable,
    "back_up_leg_in": _back_up,
    "working_keep": _working_keep,
    "ready_to_progress": _ready,
}
