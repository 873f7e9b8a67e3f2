"""The alert policy: findings, which text answers, and what happens at once.

Every reply gets one answer and at most one question. A warning sign is answered
with safety words before anything else; nothing is praised while an alert for
spreading, pain or numbness is open.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from reminders.logic.facts import AssessmentFacts, ReplyFacts
from reminders.logic.findings import (
    HOLDING_REASONS,
    NEW_NUMBNESS,
    SPREADING,
    WORSENING_REASONS,
    Context,
    Finding,
    findings,
    says_worse,
)
from reminders.logic.urgency import EMERGENCY, NEXT_DAY, SAME_DAY, at_least
from reminders.logic.warning_signs import SAFETY_FAMILIES, safety_family

__all__ = [
    "ANSWER_KINDS",
    "ASK_BACKS",
    "Context",
    "Finding",
    "Reaction",
    "findings",
    "reaction",
    "says_nothing",
]

ASK_BACKS: Final = ("safety", "who", "opt_out", "reach", "pain")

CLOSED_QUESTIONS: Final = frozenset({"safety", "who", "opt_out"})

ANSWER_KINDS: Final[tuple[str, ...]] = (
    "thanks_better",
    "thanks_same",
    "thanks_done",
    "thanks_skipped",
    "answer_worse",
    "answer_worse_closed",
    "answer_question",
    "answer_question_closed",
    "answer_held",
    *(f"safety_{family}" for family in SAFETY_FAMILIES),
    *(f"ask_{kind}" for kind in ASK_BACKS),
)


@dataclass(frozen=True, slots=True)
class Reaction:
    """What one reply sets off.

    `answer_kind` is None for an opt-out, a start or a help request: their own
    single texts answer, and may carry the safety words of `safety_families`.
    With several families each gets its own text, `answer_kind` being the first.
    """

    answer_kind: str | None
    ask_back: str | None = None
    hold_program: bool = False
    start_on_call: bool = False
    safety_families: tuple[str, ...] = ()


def reaction(
    reply: ReplyFacts,
    assessment: AssessmentFacts,
    found: Sequence[Finding],
    *,
    context: Context,
) -> Reaction:
    """Return the answer to `reply` and the immediate steps that `found` needs.

    The program is held on any warning sign to act on the same day or sooner: a
    possible fracture or clot must not be texted an exercise. The on-call chain
    starts for an emergency only.
    """
    answer, ask_back = _answer(reply, assessment, found, context)
    signs = [f.urgency for f in found if f.reason in reply.warnings]
    return Reaction(
        answer_kind=answer,
        ask_back=ask_back,
        hold_program=any(at_least(urgency, SAME_DAY) for urgency in signs),
        start_on_call=any(f.urgency == EMERGENCY for f in found),
        safety_families=safety_family(reply.warnings),
    )


def _answer(
    reply: ReplyFacts,
    assessment: AssessmentFacts,
    found: Sequence[Finding],
    context: Context,
) -> tuple[str | None, str | None]:
    """The answer and the question in it; the first matching row wins."""
    if reply.keyword is not None or reply.stop_inside:
        return None, None
    if reply.warnings:
        return f"safety_{safety_family(reply.warnings)[0]}", None
    wanted = _wanted_ask_back(reply, assessment, found, context)
    ask_back = None if wanted in context.recent_ask_backs else wanted
    if ask_back in {"safety", "who", "opt_out"}:
        return f"ask_{ask_back}", ask_back
    if _answers_worsening(reply, assessment, found, context):
        return _by_hours("answer_worse", context), None
    if ask_back is not None:
        return f"ask_{ask_back}", ask_back
    if _is_held(found, context):
        return "answer_held", None
    if reply.needs_human:
        # Who asks at night must not wait by the phone for the answer.
        return _by_hours("answer_question", context), None
    return _thanks(reply), None


def _by_hours(kind: str, context: Context) -> str:
    """The answer, or the one that says that the clinic is closed and until when."""
    return kind if context.site_open else f"{kind}_closed"


def _wanted_ask_back(
    reply: ReplyFacts,
    assessment: AssessmentFacts,
    found: Sequence[Finding],
    context: Context,
) -> str | None:
    """The one question worth asking, the weightiest first."""
    reasons = {finding.reason for finding in found}
    wanted = {reply.ask_back}
    if NEW_NUMBNESS in reasons:
        wanted.add("safety")
    if "farther_once" in assessment.numbers and SPREADING not in reasons:
        wanted.add("reach")
    # "None" to a closed question is a whole answer, not a report without a rating.
    if says_nothing(reply) and context.asked not in CLOSED_QUESTIONS:
        wanted.add("pain")
    return next((kind for kind in ASK_BACKS if kind in wanted), None)


def says_nothing(reply: ReplyFacts) -> bool:
    """True for a reply ("ok", a thumbs-up) that carries no report and no request."""
    reported = (reply.completion, reply.pain, reply.overall, reply.shift, reply.side)
    if any(value is not None for value in reported):
        return False
    return not (
        reply.areas
        or reply.pain_by_area
        or reply.sensation
        or reply.warnings
        or reply.needs_human
        or reply.ask_back
    )


def _answers_worsening(
    reply: ReplyFacts,
    assessment: AssessmentFacts,
    found: Sequence[Finding],
    context: Context,
) -> bool:
    """True when this reply worsens things, not when an old episode still shows.

    The series keeps naming `pain_up` for days; a client who texts "better, 3"
    meanwhile is not to be told again that things got worse.
    """
    reasons = {finding.reason for finding in found} & WORSENING_REASONS
    if reasons - context.open_alert_reasons:
        return True
    return says_worse(reply) and "back_up_leg_in" not in assessment.reasons


def _is_held(found: Sequence[Finding], context: Context) -> bool:
    if context.program_held or context.open_alert_reasons & HOLDING_REASONS:
        return True
    return any(
        f.reason in HOLDING_REASONS and at_least(f.urgency, NEXT_DAY) for f in found
    )


def _thanks(reply: ReplyFacts) -> str:
    if reply.completion == "skipped":
        return "thanks_skipped"
    if reply.overall == "better" or reply.shift == "toward_back":
        return "thanks_better"
    if reply.completion is not None and reply.overall is None:
        return "thanks_done"
    return "thanks_same"
