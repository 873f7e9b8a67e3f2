"""Decisions: carried out and kept together, refused whole."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from clinic import scope
from clinic.errors import BadInput, Conflict
from clinic.models import AuditEntry
from programs import deciding, prescribing
from programs.deciding import Choice
from programs.models import Decision, HomeProgram
from programs.plans import ItemPlan
from tests.cast import NOW, Cast, plan, prescribe

LOWER = replace(
    plan(),
    items=(ItemPlan("prone_on_elbows", hold_seconds=15, repetitions=3, sets=1),),
)
HIGHER = replace(
    plan(),
    items=(ItemPlan("prone_on_elbows", hold_seconds=45, repetitions=3, sets=1),),
)


def decide(cast: Cast, choice: Choice) -> Decision:
    return deciding.decide(cast.client, choice, by=cast.clinician, now=NOW)


def refused(cast: Cast, choice: Choice) -> BadInput:
    with scope.within(cast.organization.id), pytest.raises(BadInput) as caught:
        decide(cast, choice)
    with scope.within(cast.organization.id):
        assert not Decision.objects.exists()
    return caught.value


@pytest.fixture
def program(cast: Cast) -> HomeProgram:
    return prescribe(cast.client, cast.clinician)


def test_a_reduction_makes_a_revision_and_frees_a_held_program(
    cast: Cast, program: HomeProgram
) -> None:
    with scope.within(cast.organization.id):
        prescribing.hold(program, actor="client", now=NOW)
        made = decide(cast, Choice("reduce", "leg farther", plan=LOWER))
        program.refresh_from_db()
        assert program.state == "active"
        assert made.revision is not None
        assert made.revision.number == 2
        assert made.note == "leg farther"
        assert AuditEntry.objects.filter(action="decision.made").count() == 1


def test_a_reduction_that_raises_is_refused(cast: Cast, program: HomeProgram) -> None:
    assert "prone_on_elbows" in str(refused(cast, Choice("reduce", plan=HIGHER)))


@pytest.mark.parametrize("kind", ["progress", "reduce"])
def test_a_change_needs_a_plan(cast: Cast, program: HomeProgram, kind: str) -> None:
    assert refused(cast, Choice(kind)).field == "plan"


def test_the_same_plan_is_no_change(cast: Cast, program: HomeProgram) -> None:
    assert refused(cast, Choice("progress", plan=plan())).field == "plan"


def test_an_unknown_kind_is_refused(cast: Cast, program: HomeProgram) -> None:
    assert refused(cast, Choice("shrug")).field == "kind"


def test_a_program_is_needed_for_all_but_talk(cast: Cast) -> None:
    assert refused(cast, Choice("hold")).field == "kind"
    with scope.within(cast.organization.id):
        assert decide(cast, Choice("call", "rang, no answer")).revision is None


def test_a_pause_stops_asking_until_its_day(cast: Cast, program: HomeProgram) -> None:
    with scope.within(cast.organization.id):
        until = NOW.date() + timedelta(days=7)
        decide(cast, Choice("pause", until=until))
        program.refresh_from_db()
        assert (program.state, program.paused_until) == ("paused", until)


def test_a_discharge_ends_program_and_texts(cast: Cast, program: HomeProgram) -> None:
    with scope.within(cast.organization.id):
        decide(cast, Choice("discharge", "well"))
        cast.client.refresh_from_db()
        assert cast.client.ended_reason == "discharged"
        assert prescribing.running(cast.client) is None
        with pytest.raises((BadInput, Conflict)):
            decide(cast, Choice("progress", plan=HIGHER))


def test_a_decision_never_changes(cast: Cast, program: HomeProgram) -> None:
    with scope.within(cast.organization.id):
        made = decide(cast, Choice("hold"))
        with pytest.raises(TypeError):
            made.save()
