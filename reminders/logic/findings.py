"""From a read reply and its assessment to findings a person must act on.

A finding is a reason with an urgency; alerts are opened or raised from findings.
Location decides, a pain number alone never does, and back pain that rises while
the leg clears is no finding (clinical convention; Childs, Piva & Fritz 2005 for
the error of a single rating).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from reminders.logic.facts import AssessmentFacts, ReplyFacts
from reminders.logic.urgency import NEXT_DAY, REVIEW, at_least, rank
from reminders.logic.warning_signs import urgency_of_warning

SPREADING: Final = "spreading"
PAIN_UP: Final = "pain_up"
NEW_NUMBNESS: Final = "new_numbness"
WORSE_OVERALL: Final = "worse_overall"
QUESTION: Final = "question"
WHO: Final = "who"

HOLDING_REASONS: Final = frozenset({SPREADING, PAIN_UP, NEW_NUMBNESS})
WORSENING_REASONS: Final = HOLDING_REASONS | {WORSE_OVERALL}

# Reasons an assessment gives for keeping on (`working_keep`, `back_up_leg_in`,
# `ready_to_progress`) open nothing; `silent` belongs to the silence ladder, so
# that one silence never opens two chains.
_FLOORS: Final[dict[str, str]] = {
    SPREADING: NEXT_DAY,
    NEW_NUMBNESS: NEXT_DAY,
    PAIN_UP: NEXT_DAY,
    WORSE_OVERALL: REVIEW,
    "no_response": REVIEW,
    "skipping": REVIEW,
    "unstable": REVIEW,
}


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a person must look at, and how soon."""

    reason: str
    urgency: str


@dataclass(frozen=True, slots=True)
class Context:
    """What is already known about the client when the reply arrives.

    `recent_ask_backs` are the kinds asked since the last reminder that are not
    to be asked again yet; `severe_fever` says that the text names rigors or
    confusion; `asked` is the question that the reply answers.
    """

    now: datetime
    site_open: bool = True
    program_held: bool = False
    open_alert_reasons: frozenset[str] = frozenset()
    recent_ask_backs: frozenset[str] = frozenset()
    severe_fever: bool = False
    asked: str | None = None


def findings(
    reply: ReplyFacts, assessment: AssessmentFacts, *, context: Context
) -> tuple[Finding, ...]:
    """Return what `reply` calls for, most urgent first, each reason once.

    Warnings are named by their kind. A reply that says "worse" always leaves at
    least one finding, unless the leg is clearing while the back is sore.
    """
    found = [
        *_from_warnings(reply, context),
        *_from_assessment(assessment),
        *_from_words(reply, assessment),
    ]
    return merged(found)


def without_settled(
    found: Iterable[Finding], settled: Mapping[str, str], reply: ReplyFacts
) -> tuple[Finding, ...]:
    """Return `found` without what a clinician has just decided on.

    A series shows a spread or a rise for days after the decision about it; opening
    the same alert on every reply would teach people to look away. `settled` maps a
    reason decided on lately to the urgency it had. It comes back when it is more
    urgent than then, or when the client's own words say worse.
    """
    if says_worse(reply):
        return tuple(found)
    return tuple(
        finding
        for finding in found
        if finding.reason not in _FLOORS
        or finding.reason not in settled
        or rank(finding.urgency) < rank(settled[finding.reason])
    )


def merged(found: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return `found` with each reason once at its worst urgency, most urgent first."""
    kept: dict[str, Finding] = {}
    for finding in found:
        known = kept.get(finding.reason)
        if known is None or rank(finding.urgency) < rank(known.urgency):
            kept[finding.reason] = finding
    return tuple(sorted(kept.values(), key=lambda each: rank(each.urgency)))


def _from_warnings(reply: ReplyFacts, context: Context) -> list[Finding]:
    return [
        Finding(kind, urgency_of_warning(kind, reply, severe=context.severe_fever))
        for kind in sorted(reply.warnings)
    ]


def _from_assessment(assessment: AssessmentFacts) -> list[Finding]:
    found = [
        Finding(reason, floor)
        for reason, floor in _FLOORS.items()
        if reason in assessment.reasons
    ]
    overall = assessment.urgency
    # The assessment gives one urgency for all its reasons: the leading reason
    # carries it, so a two-zone spread is not shown at the floor of a one-zone one.
    # Reasons that are no worsening keep their floor: the rest may be silence.
    leads = bool(found) and found[0].reason in WORSENING_REASONS
    if leads and overall and not any(at_least(f.urgency, overall) for f in found):
        found[0] = Finding(found[0].reason, overall)
    return found


def _from_words(reply: ReplyFacts, assessment: AssessmentFacts) -> list[Finding]:
    """Findings that the words alone justify, before any series exists."""
    found = []
    if _says_new_numbness(reply):
        found.append(Finding(NEW_NUMBNESS, NEXT_DAY))
    if _says_worse_unexplained(reply, assessment):
        found.append(Finding(WORSE_OVERALL, REVIEW))
    if reply.warnings:
        return found
    if reply.ask_back == "who":
        found.append(Finding(WHO, REVIEW))
    elif reply.needs_human:
        found.append(Finding(QUESTION, REVIEW))
    return found


def _says_new_numbness(reply: ReplyFacts) -> bool:
    return any(
        what == "numb" and reply.areas.get(area) in {"new", "worse"}
        for area, what in reply.sensation.items()
    )


def _says_worse_unexplained(reply: ReplyFacts, assessment: AssessmentFacts) -> bool:
    known = WORSENING_REASONS | {"back_up_leg_in"}
    return says_worse(reply) and not known & set(assessment.reasons)


def says_worse(reply: ReplyFacts) -> bool:
    """True when the client's own words say that things got worse.

    A sorer back while the leg clears is the wanted course, whatever the client
    calls it; a leg said to be worse counts even beside a better spot.
    """
    beyond_back = {state for area, state in reply.areas.items() if area != "back"}
    if reply.shift == "down_leg" or "worse" in beyond_back:
        return True
    if reply.shift == "toward_back" or beyond_back & {"better", "gone"}:
        return False
    return reply.overall == "worse" or "worse" in reply.areas.values()
