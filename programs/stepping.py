"""Holds that rise inside a range a clinician approved: switched on, stepped, undone.

Nothing rises unless a clinician switched it on for that exercise, and every guard of
`programs.logic.guards` passes at the moment of the step. A step is a new revision in
the approver's name, done by the service; the next reminder carries it as new.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction

from clinic import audit
from clinic.errors import BadInput, Conflict
from clinic.models import Staff
from programs import considering, library, plans, prescribing
from programs.logic import guards
from programs.logic.assessment import Assessment
from programs.logic.guards import Approval, Refusal, Standing
from programs.logic.history import History
from programs.logic.plan_state import Case
from programs.models import HoldApproval, HoldStep, HomeProgram, ProgramItem
from programs.models import programs as program_states
from programs.plans import ProgramPlan
from programs.steps import reviewed
from programs.suggesting import Around, state_of


@dataclass(frozen=True, slots=True)
class Known:
    """What a step is decided on: the course so far, and what the apps above know.

    `followed`: the client is texted and monitored. `open_alert`: of any urgency.
    """

    assessment: Assessment
    history: History
    around: Around
    followed: bool
    open_alert: bool


@transaction.atomic
def approve(
    program: HomeProgram, exercise: str, *, on: bool, by: Staff, now: datetime
) -> HoldApproval:
    """Switch the rising of one hold on or off; raises BadInput without a range."""
    item = _item(program, exercise)
    if item is None or (on and item.hold_low is None):
        raise BadInput(
            "Give this exercise a range for its hold first: edit the program.",
            field="exercise",
        )
    known = approval_of(program, exercise)
    low, high = item.hold_low or 0, item.hold_high or 0
    same = known and (known.on, known.low, known.high) == (on, low, high)
    # Said again after a change of the program, it is a new approval of it.
    if known and same and not (on and known.at < item.revision.at):
        return known
    return _switched(program, exercise, (low, high), on=on, by=by, now=now)


def step(program: HomeProgram, known: Known, *, now: datetime) -> HoldStep | None:
    """Lengthen one hold by one step if every guard allows it; else change nothing.

    The caller holds the transaction in which `known` was read; the program's row is
    locked here, so that of two replies at once the second sees the first one's step.
    """
    HomeProgram.objects.select_for_update().get(pk=program.pk)
    rows = approvals_of(program)
    approvals = [row for row in rows if row.on and row.by and row.by.is_active]
    if not approvals:
        return None
    found = guards.next_step(
        case_of(program, known),
        [value_of(row) for row in approvals],
        standing_of(program, known, now=now),
    )
    if found is None:
        return None
    approval = next(row for row in approvals if row.exercise == found.code)
    return _stepped(program, approval, found, now)


@transaction.atomic
def undo(row: HoldStep, *, by: Staff | None, now: datetime, why: str = "") -> HoldStep:
    """Take a step back and switch the rising off; `by` None is the service.

    Raises Conflict when it was undone already or the hold has changed since.
    """
    row = HoldStep.objects.select_for_update().get(pk=row.pk)
    if row.undone_at is not None:
        raise Conflict("This step is taken back already.")
    program, approval = row.program, row.approval
    item = _item(program, row.exercise)
    if item is None or item.hold_seconds != row.after:
        raise Conflict("The hold has been changed since: edit the program instead.")
    author = by or approval.by
    assert author is not None
    prescribing.revise(
        program,
        _with_hold(program, row.exercise, row.before, now),
        by=author,
        actor=by or audit.SERVICE,
        reason=f"Taken back: {_words(row.exercise, row.after, row.before)}. {why}",
        now=now,
    )
    span = (approval.low, approval.high)
    _switched(program, row.exercise, span, on=False, by=by, now=now)
    row.undone_at, row.undone_by = now, by
    row.save(update_fields=["undone_at", "undone_by"])
    audit.record("hold.undone", row, actor=by or audit.SERVICE, at=now)
    return row


def approvals_of(program: HomeProgram) -> list[HoldApproval]:
    """The newest word about each exercise, in the order of the exercises' codes."""
    newest: dict[str, HoldApproval] = {}
    for row in program.hold_approvals.select_related("by").order_by("at", "id"):
        newest[row.exercise] = row
    return [newest[code] for code in sorted(newest)]


def approval_of(program: HomeProgram, exercise: str) -> HoldApproval | None:
    """The newest word about one exercise, or None."""
    rows = approvals_of(program)
    return next((row for row in rows if row.exercise == exercise), None)


def steps_of(program: HomeProgram) -> list[HoldStep]:
    """Every step of the program, newest first."""
    rows = program.hold_steps.select_related("approval__by", "undone_by")
    return list(rows.order_by("-at", "-id"))


def refusals_of(
    program: HomeProgram, exercise: str, known: Known, *, now: datetime
) -> tuple[Refusal, ...]:
    """Why this hold would not rise now; empty when it would."""
    case = case_of(program, known)
    item = next((each for each in case.plan.items if each.code == exercise), None)
    if item is None:
        return ()
    approval = approval_of(program, exercise)
    standing = standing_of(program, known, now=now)
    given = value_of(approval) if approval else None
    return guards.step_refusals(case, item, given, standing)


def case_of(program: HomeProgram, known: Known) -> Case:
    """The course and the program, seen together."""
    state = state_of(program, known.around)
    return Case(known.assessment, known.history, state)


def standing_of(program: HomeProgram, known: Known, *, now: datetime) -> Standing:
    """What the guards ask of the client besides the course."""
    revision = prescribing.current_revision(program)
    ranges = tuple(
        (item.exercise, item.hold_low, item.hold_high)
        for item in revision.items.all()
        if item.hold_low is not None and item.hold_high is not None
    )
    return Standing(
        running=known.followed and program.state == program_states.ACTIVE,
        open_alert=known.open_alert,
        ranges=ranges,
        declined_at=considering.declined_raise_at(program.client, now=now),
        review_due=revision.review_on < prescribing.local_day(program.client, now),
        lowered=_lowered(program),
    )


def value_of(row: HoldApproval) -> Approval:
    """The row as the value the guards read."""
    return Approval(row.exercise, row.low, row.high, row.on)


def _stepped(
    program: HomeProgram, approval: HoldApproval, found: guards.HoldStep, now: datetime
) -> HoldStep | None:
    author = approval.by
    assert author is not None
    words = _words(found.code, found.before, found.after)
    try:
        with transaction.atomic():
            revision = prescribing.revise(
                program,
                _with_hold(program, found.code, found.after, now),
                by=author,
                actor=audit.SERVICE,
                reason=f"Pre-approved by {author.name}: {words}.",
                now=now,
            )
    except BadInput:
        return None  # its reminder would not fit one text: a clinician decides
    row = HoldStep.objects.create(
        organization_id=program.organization_id,
        program=program,
        approval=approval,
        revision=revision,
        exercise=found.code,
        before=found.before,
        after=found.after,
        at=now,
    )
    audit.record(
        "hold.stepped",
        row,
        actor=audit.SERVICE,
        at=now,
        approval=approval.id,
        before=found.before,
        after=found.after,
    )
    return row


def _switched(
    program: HomeProgram,
    exercise: str,
    span: tuple[int, int],
    *,
    on: bool,
    by: Staff | None,
    now: datetime,
) -> HoldApproval:
    row = HoldApproval.objects.create(
        organization_id=program.organization_id,
        program=program,
        exercise=exercise,
        low=span[0],
        high=span[1],
        on=on,
        by=by,
        at=now,
    )
    action = "hold.approved" if on else "hold.approval_ended"
    audit.record(action, row, actor=by or audit.SERVICE, at=now, program=program.id)
    return row


def _lowered(program: HomeProgram) -> frozenset[str]:
    """Exercises whose hold became shorter after their newest approval."""
    approved = {row.exercise: row.at for row in approvals_of(program)}
    if not approved:
        return frozenset()
    found: set[str] = set()
    before: dict[str, int] = {}
    for revision in program.revisions.prefetch_related("items").order_by("number"):
        holds = {item.exercise: item.hold_seconds or 0 for item in revision.items.all()}
        found |= {
            code
            for code, hold in holds.items()
            if hold < before.get(code, 0)
            and revision.at > approved.get(code, revision.at)
        }
        before = holds
    return frozenset(found)


def _item(program: HomeProgram, exercise: str) -> ProgramItem | None:
    items = prescribing.current_revision(program).items.all()
    return next((item for item in items if item.exercise == exercise), None)


def _with_hold(
    program: HomeProgram, exercise: str, hold: int, now: datetime
) -> ProgramPlan:
    plan = plans.of_revision(prescribing.current_revision(program))
    items = tuple(
        replace(item, hold_seconds=hold) if item.exercise == exercise else item
        for item in plan.items
    )
    today = prescribing.local_day(program.client, now)
    return reviewed(replace(plan, items=items), today)


def _words(exercise: str, before: int, after: int) -> str:
    name = library.load()[exercise].text("en").name
    return f"{name}, hold {before} s becomes {after} s"
