"""The demo's clinicians at work: they take emergencies, and decide each morning.

They read the triage list as the page does and write through the same functions.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from datetime import datetime, timedelta
from random import Random

from clinic.errors import Conflict, PlumblineError
from clinic.models import Client, Site, Staff
from programs import plans, prescribing
from programs.deciding import Choice
from programs.models import AssessmentRecord, HomeProgram, ProgramRevision
from programs.models import programs as program_states
from programs.plans import ItemPlan, ProgramPlan
from reminders import alerting, texting, triage
from reminders.logic.findings import HOLDING_REASONS
from reminders.logic.urgency import EMERGENCY
from reminders.models import Alert

REVIEW_AFTER = timedelta(days=7)
HELD_FOR = timedelta(hours=44)
BETWEEN_STEPS = timedelta(days=3)
_LEFT_FOR_LATER = 0.12
_SHORTEST_HOLD, _LONGEST_HOLD = 10, 60
_CALL_YOU = {
    "en": "Thank you for your question. We will telephone you today. {clinic}",
    "es": "Gracias por su pregunta. Le llamaremos hoy. {clinic}",
    "fr": "Merci pour votre question. Nous vous appelons aujourd'hui. {clinic}",
}
_NOTES = {
    "silent": "Telephoned; will answer again.",
    "silent_week": "Telephoned twice; left a message.",
    "not_monitored": "Telephoned: would rather be called weekly.",
    "opted_out": "Telephoned: care goes on, without texts.",
    "question": "Telephoned and answered the question.",
    "skipping": "Telephoned: sessions moved to after work.",
}


def decide_on_list(site: Site, staff: Staff, *, now: datetime, rng: Random) -> int:
    """The morning's list: take each alert and decide on most; returns how many."""
    decided = 0
    for row in triage.rows(staff, now, site=site):
        if row.client.clinician_id != staff.id and not row.overdue:
            continue
        alerting.acknowledge(row.alert, by=staff, now=now)
        if rng.random() < _LEFT_FOR_LATER and row.alert.urgency != EMERGENCY:
            continue
        _decide(row.alert, row.client, staff, now)
        decided += 1
    return decided


def take_emergency(alert: Alert, *, by: Staff, now: datetime) -> None:
    """The person on call has it: paging ends; the decision comes later."""
    with suppress(Conflict):  # somebody decided on it in these minutes
        alerting.acknowledge(alert, by=by, now=now)


def let_go_on(staff: Staff, site: Site, *, now: datetime) -> int:
    """Programs held by a sign that was cleared since go on as they were."""
    held = HomeProgram.objects.filter(
        client__site=site, client__clinician=staff, state=program_states.HELD
    )
    gone_on = 0
    for program in held.select_related("client__site").order_by("id"):
        client = program.client
        decided = client.decisions.filter(kind="refer", at__lt=now - HELD_FOR)
        if decided.exists() and alerting.open_chain(client) is None:
            choice = Choice("hold", "Seen and examined; the exercises go on.")
            alerting.decide(client, choice, by=staff, now=now)
            gone_on += 1
    return gone_on


def step_up(staff: Staff, site: Site, *, now: datetime) -> int:
    """Who is ready gets the next step: more seconds or repetitions of one exercise."""
    programs = HomeProgram.objects.filter(
        client__site=site, client__clinician=staff, state=program_states.ACTIVE
    )
    stepped = 0
    for program in programs.select_related("client__site").order_by("id"):
        if _is_ready(program, now) and alerting.open_chain(program.client) is None:
            stepped += _progress(program, staff, now)
    return stepped


def _decide(alert: Alert, client: Client, staff: Staff, now: datetime) -> None:
    reasons = alerting.open_reasons(alert)
    choice = _choice(alert, client, reasons, now)
    alerting.decide(client, choice, by=staff, now=now, alert=alert)
    if "question" in reasons:
        _write(client, staff, now)


def _choice(
    alert: Alert, client: Client, reasons: frozenset[str], now: datetime
) -> Choice:
    program = prescribing.running(client)
    if alert.urgency == EMERGENCY or (
        program is not None and program.state == program_states.HELD
    ):
        return Choice("refer", "Seen at once; exercises wait until examined.")
    if program is not None and reasons & HOLDING_REASONS:
        lower = lowered(prescribing.current_revision(program), client, now)
        if lower is not None:
            return Choice("reduce", "Less until the leg settles.", plan=lower)
        return Choice("refer", "Asked to come in today.")
    for reason in sorted(reasons & set(_NOTES)):
        return Choice("call", _NOTES[reason])
    return Choice("call", "Telephoned; keeps on and tells us how it goes.")


def lowered(
    revision: ProgramRevision, client: Client, now: datetime
) -> ProgramPlan | None:
    """The plan without its last-added exercise, or with half the hold; else None."""
    plan = _renewed(revision, client, now)
    if len(plan.items) > 1:
        return replace(plan, items=plan.items[:-1])
    hold = plan.items[0].hold_seconds
    if hold is not None and hold > _SHORTEST_HOLD:
        shorter = replace(plan.items[0], hold_seconds=max(_SHORTEST_HOLD, hold // 2))
        return replace(plan, items=(shorter,))
    return None


def raised(
    revision: ProgramRevision, client: Client, now: datetime
) -> ProgramPlan | None:
    """One exercise a step up: ten seconds more, or two repetitions more."""
    plan = _renewed(revision, client, now)
    for place, item in enumerate(plan.items):
        more = _more(item)
        if more is not None:
            return replace(
                plan, items=(*plan.items[:place], more, *plan.items[place + 1 :])
            )
    return None


def _more(item: ItemPlan) -> ItemPlan | None:
    if item.hold_seconds is not None and item.hold_seconds < _LONGEST_HOLD:
        longer = min(_LONGEST_HOLD, item.hold_seconds + 10)
        return replace(item, hold_seconds=longer)
    if item.hold_seconds is None and item.repetitions is not None:
        return replace(item, repetitions=min(20, item.repetitions + 2))
    return None


def _renewed(revision: ProgramRevision, client: Client, now: datetime) -> ProgramPlan:
    review = prescribing.local_day(client, now) + REVIEW_AFTER
    return replace(plans.of_revision(revision), review_on=review)


def _is_ready(program: HomeProgram, now: datetime) -> bool:
    last = (
        AssessmentRecord.objects.filter(client=program.client).order_by("-at").first()
    )
    revision = program.revisions.order_by("-number").first()
    settled = revision is not None and revision.at < now - BETWEEN_STEPS
    return bool(last and last.ready_to_progress and settled)


def _progress(program: HomeProgram, staff: Staff, now: datetime) -> int:
    plan = raised(prescribing.current_revision(program), program.client, now)
    if plan is None:
        return 0
    choice = Choice("progress", "Ready: one step more.", plan=plan)
    try:
        alerting.decide(program.client, choice, by=staff, now=now)
    except PlumblineError:  # nothing left to raise within what may be prescribed
        return 0
    return 1


def _write(client: Client, staff: Staff, now: datetime) -> None:
    """A word back by text, when the client still takes texts."""
    body = _CALL_YOU[client.language].format(clinic=client.site.short_name)
    try:
        texting.write_to(client, body, by=staff, now=now)
    except PlumblineError:  # the number was closed meanwhile: the telephone remains
        return
