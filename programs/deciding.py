"""A clinician's decisions: what was decided, why, and the revision it made."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db import transaction

from clinic import audit, consenting
from clinic.errors import BadInput
from clinic.models import Client, Staff
from programs import considering, plans, prescribing
from programs.models import Decision, HomeProgram, ProgramRevision
from programs.models import programs as states
from programs.models.reports import DECISIONS
from programs.plans import ProgramPlan


@dataclass(frozen=True, slots=True)
class Choice:
    """What the clinician chose: a kind of decision, a note, a plan or a day.

    `plan` is the whole program from now on (progress and reduce need one); `until`
    is the last day of a pause.
    """

    kind: str
    note: str = ""
    plan: ProgramPlan | None = None
    until: date | None = None


@transaction.atomic
def decide(
    client: Client,
    choice: Choice,
    *,
    by: Staff,
    now: datetime,
    alert_id: UUID | None = None,
) -> Decision:
    """Carry the decision out and keep it; raises BadInput or Conflict.

    progress, hold, reduce: the program goes on, with the new plan if there is one;
    pause: until a day or until somebody goes on; call, refer: what was done;
    discharge: the program stops and the client is no longer texted.
    """
    if choice.kind not in DECISIONS:
        raise BadInput(f"Choose one of {', '.join(DECISIONS)}.", field="kind")
    program = prescribing.running(client)
    revision = _carry_out(client, program, choice, by, now)
    decision = Decision.objects.create(
        organization_id=client.organization_id,
        client=client,
        kind=choice.kind,
        note=choice.note.strip(),
        author=by,
        at=now,
        revision=revision,
        alert_id=alert_id,
    )
    considering.decided(decision, now=now)
    audit.record("decision.made", decision, actor=by, at=now, kind=choice.kind)
    return decision


def _carry_out(
    client: Client,
    program: HomeProgram | None,
    choice: Choice,
    by: Staff,
    now: datetime,
) -> ProgramRevision | None:
    if choice.kind == "discharge":
        return _discharge(client, program, by, now)
    if choice.kind in ("call", "refer"):
        return None
    if program is None:
        raise BadInput("The client is on no program: prescribe one.", field="kind")
    if choice.kind == "pause":
        prescribing.pause(program, until=choice.until, by=by, now=now)
        return None
    revision = _revised(program, choice, by, now)
    if program.state in (states.HELD, states.PAUSED):
        prescribing.go_on(program, by=by, now=now)
    return revision


def _revised(
    program: HomeProgram, choice: Choice, by: Staff, now: datetime
) -> ProgramRevision | None:
    if choice.plan is None:
        if choice.kind == "hold":
            return None
        raise BadInput("Say which dose changes to what.", field="plan")
    current = plans.of_revision(prescribing.current_revision(program))
    if choice.plan == current and choice.kind != "hold":
        raise BadInput("The plan is the one that runs: change a dose.", field="plan")
    raised = plans.raises(current, choice.plan)
    if choice.kind == "reduce" and raised:
        raise BadInput(
            "A reduction raises nothing: these go up or are new: "
            + ", ".join(raised)
            + ".",
            field="plan",
        )
    reason = choice.note.strip() or choice.kind
    return prescribing.revise(program, choice.plan, by=by, reason=reason, now=now)


def _discharge(
    client: Client, program: HomeProgram | None, by: Staff, now: datetime
) -> None:
    if program is not None:
        prescribing.stop(program, by=by, now=now)
    consenting.end_monitoring(client, "discharged", actor=by, now=now)
