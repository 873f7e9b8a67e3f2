"""Answers to suggestions: carried out, changed or declined; kept with the reason."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from clinic.errors import BadInput, Conflict
from clinic.models import Staff
from programs import considering, plans, prescribing, suggested
from programs.deciding import Choice
from programs.logic.assessment import REASONS
from programs.models import HomeProgram, KeptSuggestion
from programs.models import suggestions as states
from programs.plans import ProgramPlan
from programs.steps import reviewed
from reminders import alerting, surroundings

RAISES = ("progress", "function")


@transaction.atomic
def accept(
    kept: KeptSuggestion, *, note: str = "", by: Staff, now: datetime
) -> KeptSuggestion:
    """Carry the suggestion out as a decision.

    It resolves an open alert about the course of symptoms; one with a question or a
    warning word stays, and so does any when the program stays as it is.

    Raises Conflict when it no longer stands, or when something opened meanwhile that
    forbids asking for more.
    """
    program = _running(kept)
    row = considering.answer(kept, states.ACCEPTED, reason=note, by=by, now=now)
    if row.action in RAISES and alerting.open_chain(row.client) is not None:
        raise Conflict("An alert has opened since: look at it before asking for more.")
    if row.action in RAISES and surroundings.has_open_question(row.client, now):
        raise Conflict("A question to the client is open: wait for the answer.")
    plan = plans.of_revision(prescribing.current_revision(program))
    today = prescribing.local_day(row.client, now)
    choice = suggested.choice_of(row, plan, today=today, note=note)
    return _decided(row, choice, by, now)


@transaction.atomic
def edit(
    kept: KeptSuggestion, plan: ProgramPlan, *, reason: str, by: Staff, now: datetime
) -> KeptSuggestion:
    """Change the program another way than suggested, with a reason."""
    program = _running(kept)
    row = considering.answer(kept, states.EDITED, reason=reason, by=by, now=now)
    current = plans.of_revision(prescribing.current_revision(program))
    today = prescribing.local_day(row.client, now)
    kind = "progress" if plans.raises(current, plan) else "reduce"
    choice = Choice(kind, note=reason.strip(), plan=reviewed(plan, today))
    return _decided(row, choice, by, now)


@transaction.atomic
def decline(
    kept: KeptSuggestion, *, reason: str, by: Staff, now: datetime
) -> KeptSuggestion:
    """Leave everything as it is, with a reason; an open alert stays open."""
    return considering.answer(kept, states.DECLINED, reason=reason, by=by, now=now)


def _decided(
    row: KeptSuggestion, choice: Choice, by: Staff, now: datetime
) -> KeptSuggestion:
    resolves = choice.kind != "hold" and _is_of_the_course(row)
    decision = alerting.decide(row.client, choice, by=by, now=now, resolves=resolves)
    considering.led_to(row, decision)
    return row


def _is_of_the_course(row: KeptSuggestion) -> bool:
    """Whether the open chain holds nothing but what suggestions are made from.

    A question or a warning word is answered by a person, not by a dose.
    """
    open_reasons = alerting.open_reasons(alerting.open_chain(row.client))
    return open_reasons <= set(REASONS)


def _running(kept: KeptSuggestion) -> HomeProgram:
    program = prescribing.running(kept.client)
    if program is None or program.pk != kept.program_id:
        raise BadInput("The client is no longer on this program.", field="answer")
    return program
