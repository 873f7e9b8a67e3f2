"""Holds that rise inside a pre-approved range: the writer, its guards, the way back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from clinic import audit, scope
from clinic.errors import BadInput, Conflict
from clinic.models import AuditEntry
from programs import assessing, prescribing, reporting, stepping
from programs.logic.reports import SymptomReport
from programs.models import HoldStep, HomeProgram
from programs.plans import ItemPlan
from programs.stepping import Known
from programs.suggesting import Around
from tests.cast import NOW, Cast, plan, prescribe

ELBOWS = ItemPlan(
    "prone_on_elbows", hold_seconds=10, repetitions=3, sets=1, hold_low=5, hold_high=20
)
ITEMS = (ELBOWS, ItemPlan("press_up", repetitions=10, sets=1))
DAY = timedelta(days=1)
LATER = NOW + 4 * DAY


@pytest.fixture
def program(cast: Cast) -> Iterator[HomeProgram]:
    row = prescribe(cast.client, cast.clinician, items=ITEMS)
    with scope.within(cast.organization.id):
        yield row


def stalled(program: HomeProgram, since: datetime, until: datetime) -> None:
    """Sessions done every eight hours with the same pain and reach."""
    at = since + timedelta(hours=6)
    while at < until:
        reporting.record(
            program.client,
            SymptomReport(
                at, pain=5, areas={"thigh": "same"}, side="right", completion="done"
            ),
            program=program,
            key=f"t{at.timestamp()}",
            actor="client",
            now=at,
        )
        at += timedelta(hours=8)


def known(program: HomeProgram, now: datetime, **changes: bool) -> Known:
    assessment, history = assessing.course_of(program.client, due=(), now=now)
    values = {"followed": True, "open_alert": False} | changes
    return Known(assessment, history, Around(), **values)


def hold_of(program: HomeProgram) -> int | None:
    item = prescribing.current_revision(program).items.first()
    assert item is not None
    return int(item.hold_seconds)


def stepped(cast: Cast, program: HomeProgram) -> HoldStep:
    stepping.approve(program, "prone_on_elbows", on=True, by=cast.clinician, now=NOW)
    stalled(program, NOW, LATER)
    row = stepping.step(program, known(program, LATER), now=LATER)
    assert row is not None
    return row


def test_nothing_rises_unless_a_clinician_switched_it_on(
    cast: Cast, program: HomeProgram
) -> None:
    stalled(program, NOW, LATER)
    assert stepping.step(program, known(program, LATER), now=LATER) is None
    found = stepping.refusals_of(
        program, "prone_on_elbows", known(program, LATER), now=LATER
    )
    assert [one.code for one in found] == ["off"]


def test_a_step_is_a_revision_in_the_approvers_name(
    cast: Cast, program: HomeProgram
) -> None:
    row = stepped(cast, program)
    assert (row.before, row.after, hold_of(program)) == (10, 15, 15)
    assert row.revision.author == cast.clinician
    name = cast.clinician.name
    words = "Propped on your elbows, hold 10 s becomes 15 s"
    assert row.revision.reason == f"Pre-approved by {name}: {words}."
    entry = AuditEntry.objects.get(action="hold.stepped")
    assert entry.actor == audit.SERVICE
    assert "clinician" not in str(entry.detail)
    other = prescribing.current_revision(program).items.last()
    assert (other.repetitions, other.sets) == (10, 1)


def test_steps_come_a_day_and_three_sessions_apart_and_stop_at_the_top(
    cast: Cast, program: HomeProgram
) -> None:
    stepped(cast, program)
    soon = LATER + timedelta(hours=20)
    stalled(program, LATER, soon)
    assert stepping.step(program, known(program, soon), now=soon) is None
    later = LATER + 2 * DAY
    stalled(program, soon, later)
    assert stepping.step(program, known(program, later), now=later) is not None
    assert hold_of(program) == 20
    last = later + 2 * DAY
    stalled(program, later, last)
    assert stepping.step(program, known(program, last), now=last) is None


@pytest.mark.parametrize("blocked", [{"followed": False}, {"open_alert": True}])
def test_an_open_alert_or_nobody_following_stops_it(
    cast: Cast, program: HomeProgram, blocked: dict[str, bool]
) -> None:
    stepping.approve(program, "prone_on_elbows", on=True, by=cast.clinician, now=NOW)
    stalled(program, NOW, LATER)
    assert stepping.step(program, known(program, LATER, **blocked), now=LATER) is None


def test_a_held_program_an_old_review_and_a_left_approver_stop_it(
    cast: Cast, program: HomeProgram
) -> None:
    stepping.approve(program, "prone_on_elbows", on=True, by=cast.clinician, now=NOW)
    stalled(program, NOW, LATER)
    past_review = NOW + 12 * DAY
    assert stepping.step(program, known(program, past_review), now=past_review) is None
    prescribing.hold(program, actor="client", now=LATER)
    assert stepping.step(program, known(program, LATER), now=LATER) is None
    prescribing.go_on(program, by=cast.clinician, now=LATER)
    cast.clinician.is_active = False
    cast.clinician.save()
    assert stepping.step(program, known(program, LATER), now=LATER) is None


def test_another_range_in_the_program_ends_the_approval(
    cast: Cast, program: HomeProgram
) -> None:
    stepping.approve(program, "prone_on_elbows", on=True, by=cast.clinician, now=NOW)
    wider = plan(items=(replace(ELBOWS, hold_high=60), ITEMS[1]))
    prescribing.revise(program, wider, by=cast.clinician, reason="wider", now=NOW)
    stalled(program, NOW, LATER)
    assert stepping.step(program, known(program, LATER), now=LATER) is None


def test_undoing_restores_the_hold_and_switches_it_off(
    cast: Cast, program: HomeProgram
) -> None:
    row = stepped(cast, program)
    done = stepping.undo(row, by=cast.lead, now=LATER + DAY)
    assert (done.undone_by, hold_of(program)) == (cast.lead, 10)
    approval = stepping.approval_of(program, "prone_on_elbows")
    assert approval is not None
    assert not approval.on
    with pytest.raises(Conflict):
        stepping.undo(row, by=cast.lead, now=LATER + DAY)


def test_undoing_works_after_the_review_date_and_by_the_service(
    cast: Cast, program: HomeProgram
) -> None:
    row = stepped(cast, program)
    done = stepping.undo(row, by=None, now=NOW + 30 * DAY)
    assert done.undone_by is None
    assert hold_of(program) == 10


def test_a_hold_changed_since_is_not_overwritten(
    cast: Cast, program: HomeProgram
) -> None:
    row = stepped(cast, program)
    lower = plan(items=(replace(ELBOWS, hold_seconds=5), ITEMS[1]))
    prescribing.revise(program, lower, by=cast.clinician, reason="less", now=LATER)
    with pytest.raises(Conflict):
        stepping.undo(row, by=cast.clinician, now=LATER)
    assert hold_of(program) == 5


def test_a_hold_made_shorter_needs_a_new_approval(
    cast: Cast, program: HomeProgram
) -> None:
    stepping.approve(program, "prone_on_elbows", on=True, by=cast.clinician, now=NOW)
    shorter = plan(items=(replace(ELBOWS, hold_seconds=5), ITEMS[1]))
    at = NOW + timedelta(hours=1)
    prescribing.revise(program, shorter, by=cast.clinician, reason="less", now=at)
    stalled(program, NOW, LATER)
    found = stepping.refusals_of(
        program, "prone_on_elbows", known(program, LATER), now=LATER
    )
    assert [one.code for one in found] == ["lowered_since"]
    stepping.approve(program, "prone_on_elbows", on=True, by=cast.clinician, now=LATER)
    assert stepping.step(program, known(program, LATER), now=LATER) is not None
    assert hold_of(program) == 10


def test_an_exercise_without_a_range_cannot_be_switched_on(
    cast: Cast, program: HomeProgram
) -> None:
    for code in ("press_up", "walking"):
        with pytest.raises(BadInput):
            stepping.approve(program, code, on=True, by=cast.clinician, now=NOW)
    first, again = (
        stepping.approve(
            program, "prone_on_elbows", on=True, by=cast.clinician, now=NOW
        )
        for _ in range(2)
    )
    assert first == again
