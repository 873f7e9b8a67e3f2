"""Warning signs (red flags): how soon to act, and which safety text answers.

The kinds and their urgency follow the red-flag framework of Finucane et al. 2020
(IFOMPT) and the cauda equina pathway of GIRFT 2023, read on the safe side; they
never replace local rules or a licensed clinician's judgment.
"""

from collections.abc import Iterable
from typing import Final

from reminders.logic.facts import ReplyFacts
from reminders.logic.urgency import EMERGENCY, NEXT_DAY, SAME_DAY

SPINE: Final = "spine"
CHEST_CALF: Final = "chest_calf"
CRISIS: Final = "crisis"
INJURY_INFECTION: Final = "injury_infection"

SAFETY_FAMILIES: Final[tuple[str, ...]] = (SPINE, CHEST_CALF, CRISIS, INJURY_INFECTION)

FAMILY_OF_KIND: Final[dict[str, str]] = {
    "bladder_bowel": SPINE,
    "saddle_numbness": SPINE,
    "sexual_function": SPINE,
    "leg_weakness": SPINE,
    "both_legs": SPINE,
    "chest_breathing": CHEST_CALF,
    "calf_swelling": CHEST_CALF,
    "crisis": CRISIS,
    "fall_injury": INJURY_INFECTION,
    "fever_unwell": INJURY_INFECTION,
    "cancer_signs": INJURY_INFECTION,
}

WARNING_KINDS: Final = frozenset(FAMILY_OF_KIND)

_ALWAYS_EMERGENCY: Final = frozenset(
    {"bladder_bowel", "saddle_numbness", "sexual_function", "chest_breathing", "crisis"}
)
_NOT_NEW: Final = frozenset({"same", "better", "gone"})


def urgency_of_warning(kind: str, reply: ReplyFacts, *, severe: bool = False) -> str:
    """Return how soon a person must act on warning sign `kind` in `reply`.

    `severe` is what only the text can tell: rigors or confusion with a fever.
    Raises ValueError for an unknown kind.
    """
    if kind not in WARNING_KINDS:
        raise ValueError(
            f"unknown warning kind {kind!r}: use one of {sorted(WARNING_KINDS)}"
        )
    if kind in _ALWAYS_EMERGENCY or _is_emergency(kind, reply, severe=severe):
        return EMERGENCY
    return NEXT_DAY if kind == "cancer_signs" else SAME_DAY


def _is_emergency(kind: str, reply: ReplyFacts, *, severe: bool) -> bool:
    if kind == "leg_weakness":
        return not _weakness_is_known(reply)
    if kind == "both_legs":
        return _is_numb_or_weak(reply)
    if kind == "fever_unwell":
        return severe
    if kind == "cancer_signs":
        return "leg_weakness" in reply.warnings
    return False


def _weakness_is_known(reply: ReplyFacts) -> bool:
    """True only when every weak area is said to be no worse than before.

    A weak leg with no word on its state may have failed an hour ago, and
    "everything is worse" may mean the weakness: both count as new.
    """
    weak = [area for area, what in reply.sensation.items() if what == "weak"]
    if not weak or reply.overall == "worse":
        return False
    return all(reply.areas.get(area) in _NOT_NEW for area in weak)


def _is_numb_or_weak(reply: ReplyFacts) -> bool:
    felt = set(reply.sensation.values())
    named = reply.warnings & {"leg_weakness", "saddle_numbness", "bladder_bowel"}
    return bool(felt & {"numb", "weak"} or named)


def safety_family(kinds: Iterable[str]) -> tuple[str, ...]:
    """Return the families of safety text that `kinds` call for, each once.

    One text a family, so that three spine signs in one reply are answered once.
    The order is fixed: the same signs always give the same first text.
    """
    wanted = {FAMILY_OF_KIND[kind] for kind in kinds}
    return tuple(family for family in SAFETY_FAMILIES if family in wanted)
