"""A client's reply: report, assessment, findings, alert, holds, answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from clinic.models import Client
from programs import assessing, prescribing, reporting
from programs.logic.assessment import Assessment
from programs.logic.reports import SymptomReport
from programs.models import programs as program_states
from programs.suggesting import Around
from reminders import (
    alerting,
    answering,
    conversation,
    desk,
    escalating,
    hours,
    surroundings,
)
from reminders.logic.alert_policy import Context, reaction
from reminders.logic.findings import (
    QUESTION,
    Finding,
    findings,
    merged,
    says_worse,
    without_settled,
)
from reminders.logic.reply import Reply
from reminders.logic.reply.errands import errands
from reminders.logic.severe_fever import is_severe
from reminders.logic.urgency import REVIEW, SAME_DAY, at_least
from reminders.logic.warning_signs import urgency_of_warning
from reminders.models import Inbound

NO_ASSESSMENT = Assessment()


def respond(inbound: Inbound, client: Client, reply: Reply, now: datetime) -> None:
    """Everything one reply of a monitored client sets off."""
    assessment = assessed(inbound, client, reply, now)
    context = context_of(client, now, asked=inbound.asked or None)
    found = without_settled(
        found_in(inbound, reply, assessment, context),
        alerting.settled_reasons(client, now),
        reply,
    )
    does = reaction(reply, assessment, found, context=context)
    found = _without_errands(inbound, client, found, now)
    alert = alerting.raise_alert(
        client,
        found,
        now=now,
        actor=f"client:{client.id}",
        inbound_id=inbound.id,
        exercise=last_added_exercise(client) if found else "",
        worse=says_worse(reply),
    )
    if does.hold_program:
        _hold(client, now)
    if alert and does.start_on_call:
        escalating.page_if_emergency(alert, now)
    answering.answer(inbound, client, reply, does, now)


def found_in(
    inbound: Inbound, reply: Reply, assessment: Assessment, context: Context
) -> tuple[Finding, ...]:
    """The findings of a reply, and of what only the conversation can tell.

    A picture without words is shown to a person; so is an answer to "who is this
    about" that does not clearly name somebody else.
    """
    more = []
    if not inbound.body.strip():
        more.append(Finding(QUESTION, REVIEW))
    if inbound.asked == "who" and not answering.is_about_other(inbound.body):
        more.append(Finding("about_client", SAME_DAY))
    seen = replace(context, severe_fever=is_severe(inbound.body))
    return merged([*findings(reply, assessment, context=seen), *more])


def _without_errands(
    inbound: Inbound, client: Client, found: Sequence[Finding], now: datetime
) -> tuple[Finding, ...]:
    """Hand errands to the front desk by code; a text that is nothing else asks no
    clinician. Whatever else was found stays."""
    if all(each.reason != QUESTION for each in found):
        return tuple(found)
    brought = errands(
        inbound.body, language=client.language, asked=inbound.asked or None
    )
    for code in brought.codes:
        desk.open_task(code, client=client, now=now)
    if brought.only:
        return tuple(each for each in found if each.reason != QUESTION)
    return tuple(found)


def context_of(client: Client, now: datetime, *, asked: str | None = None) -> Context:
    """What is known about the client before this reply."""
    program = prescribing.running(client)
    return Context(
        now=now,
        site_open=hours.of(client.site).is_open(now),
        program_held=bool(program and program.state == program_states.HELD),
        open_alert_reasons=alerting.open_reasons(alerting.open_chain(client)),
        recent_ask_backs=conversation.recent_ask_backs(client, now),
        asked=asked,
    )


def hold_if_needed(
    client: Client, reply: Reply, found: Sequence[Finding], now: datetime
) -> None:
    """Hold the program where a warning sign wants a person the same day or sooner."""
    signs = [f.urgency for f in found if f.reason in reply.warnings]
    if any(at_least(urgency, SAME_DAY) for urgency in signs):
        _hold(client, now)


def last_added_exercise(client: Client) -> str:
    """The exercise that came last into the program: the one left out when worse."""
    program = prescribing.running(client)
    if program is None:
        return ""
    revisions = list(program.revisions.prefetch_related("items").order_by("number"))
    since: dict[str, int] = {}
    for revision in revisions:
        for item in revision.items.all():
            since.setdefault(item.exercise, revision.number)
    current = [item.exercise for item in revisions[-1].items.all()]
    return max(current, key=lambda code: (since[code], current.index(code)), default="")


def assessed(
    inbound: Inbound, client: Client, reply: Reply, now: datetime
) -> Assessment:
    """Record what the reply reports, if anything, and assess the client anew."""
    if answering.is_report(reply):
        reporting.record(
            client,
            report_of(reply, inbound.received_at),
            program=prescribing.running(client),
            key=f"text:{inbound.id}",
            actor=f"client:{client.id}",
            now=now,
        )
    due = conversation.reminders_sent(client, now)
    around = _around(client, reply, now)
    assessment, _ = assessing.assess_client(client, due=due, now=now, around=around)
    return assessment


def _around(client: Client, reply: Reply, now: datetime) -> Around:
    """Alerts of the last week and warning words: no step up is suggested near them."""
    found = (urgency_of_warning(kind, reply) for kind in reply.warnings)
    urgencies = [one for one in found if one]
    return surroundings.around(client, now, urgencies, just_heard=True)


def report_of(reply: Reply, at: datetime) -> SymptomReport:
    """What a read text reports, as the value the response engine reads."""
    return SymptomReport(
        at=at,
        pain=reply.pain,
        areas=reply.areas,
        side=reply.side,
        overall=reply.overall,
        shift=reply.shift,
        completion=reply.completion,
        pain_by_area=reply.pain_by_area,
        sensation=reply.sensation,
    )


def _hold(client: Client, now: datetime) -> None:
    program = prescribing.running(client)
    if program is not None:
        prescribing.hold(program, actor=f"client:{client.id}", now=now)
