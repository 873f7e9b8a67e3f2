"""Home programs: checked, one running, revisions that only grow."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from clinic import scope
from clinic.errors import BadInput, Conflict
from programs import plans, prescribing
from programs.models import HomeProgram, ProgramItem, ProgramRevision
from programs.plans import ItemPlan
from tests.cast import NOW, Cast, plan, prescribe, start


def attempt(cast: Cast, **changes: Any) -> BadInput:
    with scope.within(cast.organization.id):
        with pytest.raises(BadInput) as caught:
            prescribing.prescribe(
                cast.client, plan(**changes), start(), by=cast.clinician, now=NOW
            )
        assert not HomeProgram.objects.exists()
    return caught.value


def elbows(**changes: Any) -> ItemPlan:
    values = {"hold_seconds": 30, "repetitions": 3, "sets": 1} | changes
    return ItemPlan("prone_on_elbows", **values)


@pytest.mark.parametrize(
    ("item", "field", "words"),
    [
        (elbows(hold_seconds=0), "hold_seconds", "between 1 and 300"),
        (elbows(hold_seconds=4000), "hold_seconds", "4000 was given"),
        (elbows(repetitions=None), "repetitions", "missing"),
        (elbows(duration_minutes=5), "duration_minutes", "does not apply"),
        (ItemPlan("press_up", repetitions=51), "repetitions", "between"),
        (ItemPlan("walking", duration_minutes=121), "duration_minutes", "120"),
        (ItemPlan("walking", repetitions=5), "repetitions", "does not apply"),
        (elbows(times_per_day=6), "times_per_day", "at most as often"),
        (elbows(hold_low=10, hold_high=20), "hold_low", "around the hold"),
        (elbows(hold_low=10), "hold_low", "both ends"),
    ],
)
def test_a_dose_outside_its_bounds_is_refused_in_words(
    cast: Cast, item: ItemPlan, field: str, words: str
) -> None:
    error = attempt(cast, items=(item,))
    assert error.field == f"items.0.{field}"
    assert words in str(error)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"items": ()}, "items"),
        ({"items": (ItemPlan("juggling", repetitions=3),)}, "items"),
        ({"items": (elbows(), elbows())}, "items"),
        ({"times_per_day": 0}, "times_per_day"),
        ({"times_per_day": 13}, "times_per_day"),
        ({"waking_from": time(20), "waking_to": time(8)}, "waking_to"),
        ({"waking_from": time(4)}, "waking_from"),
        ({"waking_from": time(9), "waking_to": time(11)}, "times_per_day"),
        ({"stop_rules": ("when_bored",)}, "stop_rules"),
        ({"review_on": date(2020, 1, 1)}, "review_on"),
        ({"review_on": NOW.date() + timedelta(days=121)}, "review_on"),
    ],
)
def test_a_plan_that_cannot_be_kept_is_refused(
    cast: Cast, changes: dict[str, Any], field: str
) -> None:
    assert attempt(cast, **changes).field == field


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"pain": 11}, "pain"),
        ({"reach_left": "elbow"}, "reach_left"),
        ({"sensation": "itchy"}, "sensation"),
        ({"directional_preference": "north"}, "directional_preference"),
        ({"lateral_shift": "both"}, "lateral_shift"),
        ({"precautions": {"dizziness": False}}, "precautions"),
        ({"precautions": None}, "precautions"),
    ],
)
def test_a_starting_point_must_be_whole(
    cast: Cast, changes: dict[str, Any], field: str
) -> None:
    with scope.within(cast.organization.id), pytest.raises(BadInput) as caught:
        prescribing.prescribe(
            cast.client, plan(), start(**changes), by=cast.clinician, now=NOW
        )
    assert caught.value.field == field


def test_one_program_runs_at_a_time(cast: Cast) -> None:
    prescribe(cast.client, cast.clinician)
    with pytest.raises(Conflict):
        prescribe(cast.client, cast.clinician)


def test_the_database_itself_refuses_a_second_running_program(cast: Cast) -> None:
    prescribe(cast.client, cast.clinician)
    with (
        scope.within(cast.organization.id),
        pytest.raises(IntegrityError),
        transaction.atomic(),
    ):
        HomeProgram.objects.create(
            organization=cast.organization, client=cast.client, started_at=NOW
        )


def test_a_change_is_a_revision_with_author_and_reason(cast: Cast) -> None:
    program = prescribe(cast.client, cast.clinician)
    with scope.within(cast.organization.id):
        prescribing.revise(
            program,
            replace(plan(), items=(elbows(hold_seconds=15),)),
            by=cast.lead,
            reason="too much at once",
            now=NOW,
        )
        first, second = program.revisions.all()
        assert (second.number, second.author) == (2, cast.lead)
        assert second.reason == "too much at once"
        assert plans.of_revision(first) == plan()
        assert second.items.get().hold_seconds == 15


def test_a_change_without_a_reason_is_refused(cast: Cast) -> None:
    program = prescribe(cast.client, cast.clinician)
    with scope.within(cast.organization.id), pytest.raises(BadInput) as caught:
        prescribing.revise(program, plan(), by=cast.lead, reason=" ", now=NOW)
    assert caught.value.field == "reason"


def test_revisions_and_items_never_change(cast: Cast) -> None:
    prescribe(cast.client, cast.clinician)
    with scope.within(cast.organization.id):
        for row in (ProgramRevision.objects.get(), ProgramItem.objects.first()):
            assert row is not None
            with pytest.raises(TypeError):
                row.save()


def test_a_pause_needs_a_day_ahead_and_ends_on_its_own_day(cast: Cast) -> None:
    program = prescribe(cast.client, cast.clinician)
    with scope.within(cast.organization.id):
        with pytest.raises(BadInput):
            prescribing.pause(program, until=NOW.date(), by=cast.clinician, now=NOW)
        until = NOW.date() + timedelta(days=3)
        prescribing.pause(program, until=until, by=cast.clinician, now=NOW)
        program.refresh_from_db()
        assert (program.state, program.paused_until) == ("paused", until)


def test_a_stopped_program_takes_no_change(cast: Cast) -> None:
    program = prescribe(cast.client, cast.clinician)
    with scope.within(cast.organization.id):
        prescribing.stop(program, by=cast.clinician, now=NOW)
        with pytest.raises(Conflict):
            prescribing.revise(program, plan(), by=cast.lead, reason="x", now=NOW)
        with pytest.raises(Conflict):
            prescribing.go_on(program, by=cast.lead, now=NOW)
        assert prescribing.running(cast.client) is None
