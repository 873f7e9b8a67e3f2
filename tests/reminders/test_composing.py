"""What is new in a program is said in the first reminder that asks for it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from clinic import scope
from programs import prescribing
from programs.models import HomeProgram
from programs.plans import ItemPlan
from reminders import composing
from reminders.models import Outbound
from tests.cast import NOW, Cast, plan, prescribe

PRESS_UP = ItemPlan("press_up", repetitions=10, sets=1)
RARE = ItemPlan(
    "prone_on_elbows", hold_seconds=30, repetitions=3, sets=1, times_per_day=1
)
LATER = NOW + timedelta(days=1)


@pytest.fixture
def program(cast: Cast) -> Iterator[HomeProgram]:
    cast.client.monitoring = "active"
    cast.client.save()
    row = prescribe(cast.client, cast.clinician, items=(PRESS_UP, RARE))
    with scope.within(cast.organization.id):
        yield row


def reminder(program: HomeProgram, slot: int, at: datetime) -> str:
    """The text of one slot, kept as sent."""
    row = Outbound(
        organization_id=program.organization_id,
        client=program.client,
        key=f"rem:{program.client_id}:{program.id}:{at:%Y-%m-%dT%H}:{slot}",
        kind="reminder",
        due_at=at,
        not_after=at,
    )
    assert composing.compose(row, at)
    row.sent_at, row.state = at, "sent"
    row.save()
    return str(row.body)


def revise(cast: Cast, program: HomeProgram, *items: ItemPlan) -> None:
    prescribing.revise(
        program, plan(items=items), by=cast.clinician, reason="r", now=NOW
    )


def test_the_new_dose_is_named_first_where_it_is_asked_for_and_once(
    cast: Cast, program: HomeProgram
) -> None:
    revise(cast, program, PRESS_UP, replace(RARE, hold_seconds=45))
    assert "NEW" not in reminder(program, 3, LATER)  # the rare one is not in it
    told = reminder(program, 0, LATER + timedelta(hours=1))
    assert "NEW dose: " in told
    assert "45 s x3 +1 more" in told
    again = reminder(program, 0, LATER + timedelta(hours=2))
    assert "NEW" not in again
    assert "10x +1 more" in again


def test_something_taken_away_is_said_as_new_once(
    cast: Cast, program: HomeProgram
) -> None:
    revise(cast, program, PRESS_UP)
    assert "NEW dose" in reminder(program, 0, LATER)
    assert "NEW" not in reminder(program, 0, LATER + timedelta(hours=1))


def test_nothing_is_new_in_the_first_program(program: HomeProgram) -> None:
    assert "NEW" not in reminder(program, 0, LATER)
