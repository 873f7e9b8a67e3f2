"""Outcome measures: recorded once with who and when, voided with a reason, asked.

A client answers on a page of their own; the clinician types what was said or counted
in the room.
"""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from typing import Any

from django.db import IntegrityError, transaction

from clinic import audit
from clinic.errors import BadInput, Conflict
from clinic.logic.ids import new_id
from clinic.models import Client, Staff
from programs import questions
from programs.logic.outcomes.measures import MEASURES
from programs.logic.outcomes.values import AnswerError, Answers
from programs.models import Outcome, OutcomeAsk, OutcomeVoid
from programs.models.outcomes import ANSWERED, CLINIC, LINK, REPLACED

OPEN_FOR = timedelta(days=7)


def record_in_clinic(
    client: Client,
    measure: str,
    answers: Answers,
    *,
    at: datetime,
    key: str,
    by: Staff,
    now: datetime,
) -> Outcome:
    """What the client answered in the room or on paper; raises BadInput, Conflict."""
    if at > now:
        raise BadInput("An answer cannot lie in the future.", field="at")
    return _record(client, measure, answers, at=at, key=key, by=by, now=now)


@transaction.atomic
def void(outcome: Outcome, *, reason: str, by: Staff, now: datetime) -> OutcomeVoid:
    """Take an answer out of the course with a reason; it stays on the record."""
    if not reason.strip():
        raise BadInput("Say why the answer does not count.", field="reason")
    row = OutcomeVoid(
        organization_id=outcome.organization_id,
        outcome=outcome,
        reason=reason.strip(),
        by=by,
        at=now,
    )
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError as error:
        raise Conflict("This answer is voided already.") from error
    audit.record("outcome.voided", outcome, actor=by, at=now, client=outcome.client_id)
    return row


@transaction.atomic
def ask(client: Client, measure: str, *, by: Staff, now: datetime) -> OutcomeAsk:
    """Open a page of the measure for the client; an older open one of it closes.

    Raises BadInput when the measure may not be shown in the client's language, and
    Conflict when there is no list of own activities to show again yet.
    """
    if client.language not in _known(measure).by_link:
        raise BadInput(
            "This measure may not be shown to the client in their language: type the"
            " total from your own form.",
            field="measure",
        )
    if measure == "psfs" and not questions.activities(client):
        raise Conflict("Write the activities down with the client first.")
    _close_open(client, measure, now)
    row = OutcomeAsk(
        organization_id=client.organization_id,
        client=client,
        measure=measure,
        asked_by=by,
        asked_at=now,
        expires_at=(now + OPEN_FOR).replace(microsecond=0),
    )
    row.digest = questions.digest_of(questions.token_of(row))
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError as error:
        raise Conflict("Somebody asked this at the same moment.") from error
    audit.record("outcome.asked", row, actor=by, at=now, client=client.id)
    return row


@transaction.atomic
def answer(ask: OutcomeAsk, answers: Answers, *, now: datetime) -> Outcome:
    """A client's answers from the page, once; raises Conflict when it is closed."""
    row = OutcomeAsk.objects.select_for_update().get(pk=ask.pk)
    if not questions.is_open(row, now):
        raise Conflict("This page is closed.")
    outcome = _record(
        row.client,
        row.measure,
        answers,
        at=now,
        key=f"ask:{row.id}",
        by=None,
        now=now,
    )
    row.closed_at, row.closed_why, row.outcome = now, ANSWERED, outcome
    row.save(update_fields=["closed_at", "closed_why", "outcome"])
    return outcome


@transaction.atomic
def _record(
    client: Client,
    measure: str,
    answers: Answers,
    *,
    at: datetime,
    key: str,
    by: Staff | None,
    now: datetime,
) -> Outcome:
    try:
        score = _known(measure).score(answers)
    except AnswerError as error:
        raise BadInput(str(error), field=error.field) from error
    known = Outcome.objects.filter(key=key).first()
    if known:
        return _same(known, client, measure)
    row = Outcome(
        organization_id=client.organization_id,
        client=client,
        measure=measure,
        key=key,
        source=CLINIC if by else LINK,
        at=at,
        score=score.value,
        missing=score.missing,
        answers=json.dumps(dict(answers), sort_keys=True),
        by=by,
        recorded_at=now,
    )
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError:
        return _same(Outcome.objects.get(key=key), client, measure)
    actor: Any = by or f"client:{client.id}"
    audit.record("outcome.recorded", row, actor=actor, at=now, client=client.id)
    return row


def new_key() -> str:
    """A key for an answer whose device made none."""
    return str(new_id())


def _known(measure: str) -> Any:
    if measure not in MEASURES:
        raise BadInput(f"Choose one of {', '.join(MEASURES)}.", field="measure")
    return MEASURES[measure]


def _same(known: Outcome, client: Client, measure: str) -> Outcome:
    if known.client_id != client.pk or known.measure != measure:
        raise Conflict("Another answer has this key: make a new one.")
    return known


def _close_open(client: Client, measure: str, now: datetime) -> None:
    rows = OutcomeAsk.objects.select_for_update().filter(
        client=client, measure=measure, closed_at__isnull=True
    )
    for row in rows:
        row.closed_at, row.closed_why = now, REPLACED
        row.save(update_fields=["closed_at", "closed_why"])
