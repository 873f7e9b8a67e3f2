"""After a reply has been read and answered: a step taken back or made, the load.

Lowering comes before raising. A fault in here never touches the reply: its report,
alert and answer are of the same commit, and the next reply looks again.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db import transaction

from clinic import logs
from clinic.errors import Conflict
from clinic.models import Client
from clinic.models import clients as client_states
from programs import prescribing, stepping
from programs.logic.guards import FIRST_DAYS
from programs.models import AssessmentRecord, HoldApproval, HoldStep, HomeProgram
from reminders import adapting, alerting, surroundings
from reminders.logic.findings import WORSENING_REASONS

log = logs.get("reminders.following_up")
# A worsening within two days of a longer hold is put down to it (common practice).
BLAMED_FOR = timedelta(hours=48)


def after_reply(client: Client, now: datetime) -> None:
    """What the reply changes in dose and load; the caller's transaction goes on."""
    program = prescribing.running(client)
    if program is None or client.monitoring != client_states.ACTIVE:
        return
    try:
        with transaction.atomic():
            taken = _taken_back(client, program, now)
            if not taken and _may_rise(client, program, now):
                stepping.step(program, surroundings.known(client, now), now=now)
            adapting.adapt(client, program, now=now)
    except Exception as error:  # noqa: BLE001  the reply's alert must stand whatever fails
        log.error("follow_up_failed", error=type(error).__name__)


def _may_rise(client: Client, program: HomeProgram, now: datetime) -> bool:
    """Whether anything is switched on and the course asks for more: few replies do.

    Only spares the work; the guards decide.
    """
    if now - program.started_at < FIRST_DAYS:
        return False
    if not HoldApproval.objects.filter(program=program, on=True).exists():
        return False
    newest = AssessmentRecord.objects.filter(client=client).order_by("-at", "-id")
    return bool(newest.values_list("ready_to_progress", flat=True).first())


def _taken_back(client: Client, program: HomeProgram, now: datetime) -> bool:
    """Undo a fresh step when a worsening opened after it; lowering acts at once."""
    steps = HoldStep.objects.filter(
        program=program, undone_at__isnull=True, at__gt=now - BLAMED_FOR
    )
    alert = alerting.open_chain(client)
    if alert is None:
        return False
    taken = False
    for step in steps.order_by("-at"):
        after = {
            entry["reason"]
            for entry in alert.reasons
            if datetime.fromisoformat(entry["at"]) >= step.at
        }
        if after & WORSENING_REASONS:
            taken |= _undone(step, now)
    return taken


def _undone(step: HoldStep, now: datetime) -> bool:
    try:
        stepping.undo(step, by=None, now=now, why="The client got worse after it.")
    except Conflict:
        return False  # a clinician has changed the hold since
    return True
