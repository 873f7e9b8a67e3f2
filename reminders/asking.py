"""Outcome measures with what follows from them: a text with a page, a look by a person.

The answers themselves are kept by `programs.measuring`.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from django.db import transaction

from clinic.models import Client, Staff
from programs import measuring, questions
from programs.logic.outcomes import grc
from programs.logic.outcomes.values import Answers
from programs.models import Outcome, OutcomeAsk
from reminders import alerting, composing, links, outbox, texting
from reminders.logic.findings import Finding
from reminders.logic.urgency import REVIEW
from reminders.models import Outbound
from reminders.models import messages as states


@transaction.atomic
def ask_by_text(
    client: Client, measure: str, *, by: Staff, now: datetime
) -> OutcomeAsk:
    """Text the client a page of one measure, in their daytime.

    Raises BadInput or Conflict when it may not be shown to them or no text may go.
    An older open page of the measure closes, and its text is taken back if it waits.
    """
    phone = texting.open_number(client)
    _take_back(questions.open_asks(client, now).get(measure))
    ask = measuring.ask(client, measure, by=by, now=now)
    address = links.address(ask)
    text = composing.site_text(links.KIND, client.site, client.language, link=address)
    outbox.put(
        replace(text, body=text.body.replace(address, links.MARK)),
        key=links.key_of(ask),
        phone=phone,
        now=now,
        client=client,
        author=by,
        due_at=composing.daytime(client, now),
    )
    return ask


@transaction.atomic
def answered(ask: OutcomeAsk, answers: Answers, *, now: datetime) -> Outcome:
    """Keep what the client answered on the page; the client has been heard from."""
    outcome = measuring.answer(ask, answers, now=now)
    Client.objects.filter(pk=ask.client_id).update(last_heard_at=now)
    _look(outcome, now=now)
    return outcome


@transaction.atomic
def recorded(
    client: Client,
    measure: str,
    answers: Answers,
    *,
    at: datetime,
    key: str,
    by: Staff,
    now: datetime,
) -> Outcome:
    """Keep what the clinician typed."""
    outcome = measuring.record_in_clinic(
        client, measure, answers, at=at, key=key, by=by, now=now
    )
    _look(outcome, now=now)
    return outcome


def _look(outcome: Outcome, *, now: datetime) -> None:
    """Twice in a row clearly worse by the client's own rating: a person looks."""
    if outcome.measure != grc.GRC.code:
        return
    rows = questions.outcomes_of(outcome.client).filter(measure=outcome.measure)
    course = questions.counted(rows, outcome.measure)
    newest = course[-1].at == outcome.at if course else False
    if newest and grc.is_worse_twice(course):
        alerting.raise_alert(outcome.client, [Finding("rated_worse", REVIEW)], now=now)


def _take_back(ask: OutcomeAsk | None) -> None:
    if ask is None:
        return
    rows = Outbound.objects.filter(key=links.key_of(ask), state=states.PENDING)
    rows.update(state="cancelled", error_code="replaced")
