"""Why a client is on the list, in one plain sentence a reason, for staff.

Findings of the response engine are said with their numbers where they are known;
words of warning are said as what they may mean, never as a diagnosis.
"""

from collections.abc import Mapping
from typing import Final

from programs.logic import explanation
from programs.logic.assessment import REASONS

Numbers = Mapping[str, float]

WARNING_WORDS: Final[dict[str, str]] = {
    "bladder_bowel": "Words of trouble with bladder or bowel",
    "saddle_numbness": "Words of numbness between the legs or around the seat",
    "leg_weakness": "Words of a weak or giving leg",
    "both_legs": "Words of symptoms in both legs",
    "sexual_function": "Words of a change in sexual function",
    "fall_injury": "Words of a fall or an injury",
    "fever_unwell": "Words of fever or being unwell",
    "calf_swelling": "Words of a swollen, hot or tender calf",
    "chest_breathing": "Words of chest pain or trouble breathing",
    "cancer_signs": "Words that can go with a serious illness, such as weight loss",
    "crisis": "Words of a crisis or of not wanting to live",
}
_CRITICAL: Final = "possible warning sign; ask, examine, and follow local rules"

_PLAIN: Final[dict[str, str]] = {
    "spreading": "Symptoms reach farther down the leg than usual.",
    "pain_up": "Pain is up by two points or more on two days.",
    "new_numbness": "Numbness, tingling or weakness newly stated.",
    "worse_overall": "The client says it is worse.",
    "no_response": "Nothing has changed in two weeks.",
    "skipping": "Sessions are not being done.",
    "unstable": "The reach keeps turning round within days.",
    "silent": "No reply for two days or more.",
    "silent_week": "No reply for a week: telephone the client.",
    "not_monitored": "No reply for two weeks: no longer monitored; reminders ended.",
    "opted_out": "The client ended the texts: no longer monitored. Telephone to agree"
    " how care goes on.",
    "wrong_number": "The number reaches somebody else: texts have ended. Ask the"
    " client for the right one.",
    "undelivered": "Texts do not reach the number: nothing is known of the client"
    " until it is put right.",
    "unread": "A text came in and could not be read by the service: read it yourself.",
    "question": "The client asks something, or says what the service cannot carry.",
    "rated_worse": "Twice in a row the client rated the change since the start as"
    " clearly worse (-2 or below).",
    "about_client": "Worrying words stand, and the client did not say that they are"
    " about somebody else: telephone the client.",
    "who": "The words may be about somebody else: the client was asked who is meant.",
    "safety_unanswered": "The safety question stayed unanswered for an hour:"
    " telephone the client.",
    "who_unanswered": "Nobody said who the worrying words were about: telephone the"
    " client.",
    "shared_number": "Two clients share this number: nobody knows which of them wrote.",
}

_LABELS: Final[dict[str, str]] = {
    "spreading": "spreading",
    "pain_up": "pain up",
    "new_numbness": "new numbness",
    "worse_overall": "worse overall",
    "no_response": "no effect",
    "not_monitored": "no longer monitored",
    "opted_out": "texts ended by the client",
    "question": "a question",
    "who": "about whom",
    "about_client": "worrying words about the client",
    "undelivered": "texts do not arrive",
    "wrong_number": "wrong number",
    "safety_unanswered": "safety question unanswered",
    "who_unanswered": "nobody said about whom",
}

# Hours in the numbers were true when the assessment was made.
_GROWING: Final = ("hours_ago", "first_hours_ago")

CODES: Final = frozenset(_PLAIN) | frozenset(WARNING_WORDS)


def sentence(reason: str, numbers: Numbers | None = None, *, age: float = 0.0) -> str:
    """One sentence for a reason; with its numbers when the engine gave them.

    `age` is how many hours ago the numbers were computed, so that "2 h ago" is still
    true when it is read. An unknown reason is named as it is.
    """
    if reason in WARNING_WORDS:
        return f"{WARNING_WORDS[reason]}: {_CRITICAL}."
    if numbers and reason in REASONS:
        try:
            return explanation.sentence(reason, _aged(numbers, age))
        except KeyError:  # a row kept by an older version may lack a number
            pass
    return _PLAIN.get(reason) or f"{label(reason).capitalize()}."


def label(reason: str) -> str:
    """A reason in a few words, for a mark on the chart or a row of a table."""
    if reason in WARNING_WORDS:
        return WARNING_WORDS[reason].removeprefix("Words of ").removeprefix("Words ")
    return _LABELS.get(reason, reason.replace("_", " "))


def _aged(numbers: Numbers, age: float) -> dict[str, float]:
    return {
        name: value + age if name in _GROWING else value
        for name, value in numbers.items()
    }
