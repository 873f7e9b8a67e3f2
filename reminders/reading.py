"""Reading a stored text: who wrote it, what it says, what follows from it.

One transaction: report, assessment, alert and answer are committed together, so a
reply that shows spreading, worsening or a warning sign is never without its alert.
"""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.db import transaction

from clinic import consenting, scope
from clinic.models import Client, PhoneNumber
from clinic.models import clients as client_states
from reminders import (
    alerting,
    answering,
    composing,
    desk,
    escalating,
    following_up,
    outbox,
)
from reminders.logic.findings import QUESTION, Finding, findings
from reminders.logic.reply import Reply, parse_reply
from reminders.logic.reply.storage import to_json
from reminders.logic.reply.wrong_number import is_wrong_number
from reminders.logic.urgency import REVIEW
from reminders.models import Inbound
from reminders.responding import (
    NO_ASSESSMENT,
    assessed,
    context_of,
    found_in,
    hold_if_needed,
    respond,
)
from reminders.signals import client_confirmed


def read(inbound_id: UUID, now: datetime) -> None:
    """Read one stored text; a text that was read already is left alone."""
    row = Inbound.objects.across("a stored text").filter(pk=inbound_id).first()
    if row is None or row.organization_id is None:
        _set_state(inbound_id, "unknown")
        return
    with scope.within(row.organization_id), transaction.atomic():
        inbound = Inbound.objects.select_for_update().get(pk=inbound_id)
        if inbound.state in ("received", "unread"):
            _read(inbound, now)


def _read(inbound: Inbound, now: datetime) -> None:
    phone = inbound.phone
    people = consenting.reached(phone) if phone else []
    language = people[0].language if people else "en"
    reply = parse_reply(inbound.body, language=language, asked=inbound.asked or None)
    inbound.reply, inbound.keyword = to_json(reply), reply.keyword or ""
    inbound.state = "read"
    if not people:
        _from_nobody(inbound, reply, now)
    elif phone and _is_strangers(inbound, reply):
        _wrong_number(inbound, phone, now)
    elif len(people) > 1:
        _shared(inbound, people, reply, now)
    else:
        _from_client(inbound, people[0], reply, now)
    inbound.save()


def _is_strangers(inbound: Inbound, reply: Reply) -> bool:
    """Whether the text only says that somebody else has the number.

    One that also reports symptoms or a warning sign is read as the client's: ending
    the watch over somebody in pain costs more than one text to a stranger.
    """
    said = reply.warnings or answering.is_report(reply)
    return not said and is_wrong_number(inbound.body)


def _from_client(inbound: Inbound, client: Client, reply: Reply, now: datetime) -> None:
    phone = inbound.phone
    assert phone is not None
    if phone.opted_out_at is not None:
        _after_opt_out(inbound, client, phone, reply, now)
    elif reply.keyword == "help":
        _answer(inbound, client, "help", now)
        # HELP alone may be a cry for help: a person sees it as well.
        alerting.raise_alert(
            client, [Finding(QUESTION, REVIEW)], now=now, inbound_id=inbound.id
        )
    elif client.monitoring == client_states.PENDING:
        _first_answer(inbound, client, phone, reply, now)
    elif client.monitoring == client_states.ENDED and client.ended_reason == "silent":
        _heard_again(inbound, client, reply, now)
    elif reply.keyword == "start" and client.monitoring == client_states.ACTIVE:
        _answer(inbound, client, "resumed", now)
    else:
        respond(inbound, client, reply, now)
        following_up.after_reply(client, now)


def _after_opt_out(
    inbound: Inbound, client: Client, phone: PhoneNumber, reply: Reply, now: datetime
) -> None:
    """A text from an opted-out number: START reopens, the rest goes to a person.

    It is still read and can alarm, but nothing is texted back: only the person at
    the number can open it again.
    """
    if reply.keyword == "start" or answering.is_plain_yes(inbound.body):
        consenting.resume(phone, inbound=inbound.id, now=now)
        outbox.reopen(phone)
        client.refresh_from_db()
        client_confirmed.send(type(client), client=client)
        _answer(inbound, client, "resumed", now)
        return
    assessment = assessed(inbound, client, reply, now)
    context = context_of(client, now, asked=inbound.asked or None)
    found = list(found_in(inbound, reply, assessment, context))
    found.append(Finding("opted_out", REVIEW))
    alert = alerting.raise_alert(
        client, found, now=now, actor=f"client:{client.id}", inbound_id=inbound.id
    )
    hold_if_needed(client, reply, found, now)
    if alert:
        escalating.page_if_emergency(alert, now)
    desk.open_task("opted_out", client=client, now=now)


def _first_answer(
    inbound: Inbound, client: Client, phone: PhoneNumber, reply: Reply, now: datetime
) -> None:
    """Any answer to the first text confirms it; what else it says is read as well."""
    consenting.confirm(client, phone, inbound=inbound.id, now=now)
    client_confirmed.send(type(client), client=client)
    if answering.says_something(reply):
        respond(inbound, client, reply, now)
        return
    _answer(inbound, client, "welcome_confirmed", now)


def _heard_again(inbound: Inbound, client: Client, reply: Reply, now: datetime) -> None:
    """Who fell silent writes again: they are monitored and get reminders again."""
    consenting.restart(client, now=now)
    client_confirmed.send(type(client), client=client)
    if reply.keyword == "start":
        _answer(inbound, client, "resumed", now)
        return
    respond(inbound, client, reply, now)


def _wrong_number(inbound: Inbound, phone: PhoneNumber, now: datetime) -> None:
    """Somebody else has the number: stop, say nothing, ask the desk for another."""
    outbox.cancel_pending(phone, now=now, why="wrong_number")
    for client in consenting.mark_wrong(phone, inbound=inbound.id, now=now):
        desk.open_task("wrong_number", client=client, now=now)
        alerting.raise_alert(
            client, [Finding("wrong_number", REVIEW)], now=now, inbound_id=inbound.id
        )


def _shared(
    inbound: Inbound, people: list[Client], reply: Reply, now: datetime
) -> None:
    """Two clients on one number: never guess; a warning flags and holds each.

    The opt-out is the number's, so START from it opens the number again.
    """
    phone = inbound.phone
    if phone and phone.opted_out_at is not None and reply.keyword == "start":
        consenting.resume(phone, inbound=inbound.id, now=now)
        outbox.reopen(phone)
        _answer(inbound, people[0], "resumed", now)
        return
    for client in people:
        context = context_of(client, now)
        found = list(findings(reply, NO_ASSESSMENT, context=context))
        found.append(Finding("shared_number", REVIEW))
        alert = alerting.raise_alert(client, found, now=now, inbound_id=inbound.id)
        hold_if_needed(client, reply, found, now)
        if alert:
            escalating.page_if_emergency(alert, now)
        desk.open_task("shared_number", client=client, now=now)
    if inbound.phone and inbound.phone.may_receive:
        answering.safety_texts(inbound, people[0], reply, now)
        if not reply.warnings and reply.keyword is None:
            _answer(inbound, people[0], "answer_question", now)


def _from_nobody(inbound: Inbound, reply: Reply, now: datetime) -> None:
    """A number nobody has: warning words get the safety text and page a person."""
    inbound.state = "unknown"
    if reply.warnings:
        answering.safety_for_stranger(inbound, reply, now)
    if reply.keyword != "stop":
        desk.open_task("unknown_number", now=now, detail=inbound.from_number)


def _answer(inbound: Inbound, client: Client, kind: str, now: datetime) -> None:
    assert inbound.phone is not None
    text = composing.site_text(kind, client.site, client.language)
    outbox.put(
        text, key=f"rep:{inbound.id}", phone=inbound.phone, now=now, client=client
    )


def _set_state(inbound_id: UUID, state: str) -> None:
    Inbound.objects.across("a stored text").filter(pk=inbound_id).update(state=state)
