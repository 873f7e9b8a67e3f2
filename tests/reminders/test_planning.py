"""Planning: rows under permanent keys; edits touch what has not left."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from clinic import access, consenting, scope
from clinic.models import Client
from programs import plans, prescribing
from programs.models import HomeProgram
from reminders import planning, sending
from reminders.gateways.base import Parcel, Receipt, Refused
from reminders.models import Outbound
from tests.cast import NOW, NUMBER, SENDING, Cast, prescribe
from tests.journeys.day import Day

NEW_YORK = ZoneInfo("America/New_York")


def rows(**more: Any) -> Any:
    found = Outbound.objects.filter(kind__in=("reminder", "weekly_safety"), **more)
    return found.order_by("due_at")


def program_of(cast: Cast) -> HomeProgram:
    program = prescribing.running(cast.client)
    assert program is not None
    return program


def revise(cast: Cast, at: datetime, **changes: Any) -> None:
    program = program_of(cast)
    plan = plans.of_revision(prescribing.current_revision(program))
    prescribing.revise(
        program, replace(plan, **changes), by=cast.clinician, reason="asked", now=at
    )
    planning.plan_by_id(program.id, cast.organization.id, at)


def local_days() -> dict[str, list[str]]:
    """Local date -> local times of the rows that wait."""
    found: dict[str, list[str]] = {}
    for row in rows(state="pending"):
        local = row.due_at.astimezone(NEW_YORK)
        found.setdefault(f"{local:%m-%d}", []).append(f"{local:%H:%M}")
    return found


def test_rows_are_made_for_the_next_day_and_a_half(running: Day, inside: Cast) -> None:
    due = [row.due_at for row in rows()]
    assert running.now < min(due)
    assert max(due) <= running.now + planning.HORIZON
    assert set(local_days()) == {"03-02", "03-03"}
    assert len(local_days()["03-03"]) == 5


def test_planning_again_changes_nothing(running: Day, inside: Cast) -> None:
    before = list(rows().values())
    for minutes in (0, 1, 30):
        assert planning.plan_all(running.now + timedelta(minutes=minutes)) == 0
    assert list(rows().values()) == before


def test_two_days_of_planning_make_each_slot_once(running: Day, inside: Cast) -> None:
    for hour in range(49):
        planning.plan_all(running.now + timedelta(hours=hour))
    keys = [row.key for row in rows()]
    assert len(keys) == len(set(keys))
    tuesday = rows(local_date=datetime(2026, 3, 3, tzinfo=UTC).date())
    assert tuesday.count() == 5


def test_reminders_keep_to_the_waking_window_and_their_distance(
    running: Day, inside: Cast
) -> None:
    for times in local_days().values():
        assert times == sorted(times)
        assert all("08:00" <= each < "20:30" for each in times)
    due = [row.due_at for row in rows()]
    gaps = [after - before for before, after in pairwise(due)]
    assert min(gaps) >= timedelta(hours=1)


def test_a_text_is_worth_sending_until_the_next_one_at_most(
    running: Day, inside: Cast
) -> None:
    found = list(rows())
    for row, following in pairwise(found):
        assert row.due_at < row.not_after <= row.due_at + timedelta(minutes=90)
        assert row.not_after <= following.due_at


def test_fewer_times_a_day_take_the_waiting_rows_back(
    running: Day, inside: Cast
) -> None:
    revise(inside, running.now, times_per_day=2)
    assert len(local_days()["03-03"]) == 2
    assert {row.error_code for row in rows(state="cancelled")} == {"replanned"}


def test_an_edit_and_its_undoing_leave_the_same_rows(
    running: Day, inside: Cast
) -> None:
    before = [(row.key, row.due_at) for row in rows(state="pending")]
    revise(inside, running.now, times_per_day=2)
    revise(inside, running.now, times_per_day=5)
    after = [(row.key, row.due_at) for row in rows(state="pending")]
    assert after == before


def test_an_edit_leaves_what_has_left_alone(running: Day, inside: Cast) -> None:
    first = rows()[0]
    sending.send_due(running.phones, first.due_at)
    revise(inside, first.due_at, waking_from=time(12, 0), times_per_day=3)
    sent = Outbound.objects.get(pk=first.pk)
    assert (sent.state, sent.due_at, sent.key) == (
        "delivered",
        first.due_at,
        first.key,
    )


def test_a_slot_that_left_does_not_come_again_at_another_time(
    running: Day, inside: Cast
) -> None:
    first = rows()[0]
    sending.send_due(running.phones, first.due_at)
    revise(inside, first.due_at, waking_to=time(18, 0))
    for hour in range(30):
        at = first.due_at + timedelta(hours=hour)
        planning.plan_all(at)
        sending.send_due(running.phones, at)
    on_the_day = rows(local_date=first.local_date, sent_at__isnull=False)
    assert on_the_day.count() <= 5
    assert len({row.key for row in on_the_day}) == on_the_day.count()


def test_replanning_does_not_hurry_a_text_the_gateway_could_not_take(
    running: Day, inside: Cast
) -> None:
    class Down:
        def send(self, parcel: Parcel) -> Receipt:
            raise Refused(kind="connection_refused")

    first = rows()[0]
    sending.send_due(Down(), first.due_at)
    planning.plan_all(first.due_at + timedelta(seconds=1))
    assert sending.send_due(running.phones, first.due_at + timedelta(seconds=2)) == 0
    assert sending.send_due(running.phones, first.due_at + timedelta(seconds=31)) == 1


def test_a_pause_takes_the_rows_back_and_going_on_brings_them(
    running: Day, inside: Cast
) -> None:
    before = local_days()
    program = program_of(inside)
    prescribing.pause(program, until=None, by=inside.clinician, now=running.now)
    planning.plan_all(running.now)
    assert local_days() == {}
    prescribing.go_on(program, by=inside.clinician, now=running.now)
    planning.plan_all(running.now)
    assert local_days() == before


def test_a_pause_until_a_day_ends_by_itself_on_the_day_after(
    running: Day, inside: Cast
) -> None:
    until = datetime(2026, 3, 5, tzinfo=UTC).date()
    prescribing.pause(
        program_of(inside), until=until, by=inside.clinician, now=running.now
    )
    planning.plan_all(running.now)
    thursday = datetime(2026, 3, 5, 23, 0, tzinfo=NEW_YORK)
    planning.plan_all(thursday.astimezone(UTC))
    assert local_days() == {}
    planning.plan_all((thursday + timedelta(hours=2)).astimezone(UTC))
    assert len(local_days()["03-06"]) == 5


def test_a_held_program_is_asked_about_once_a_day(running: Day, inside: Cast) -> None:
    prescribing.hold(program_of(inside), actor="service", now=running.now)
    planning.plan_all(running.now)
    assert all(len(times) == 1 for times in local_days().values())
    assert set(local_days()) == {"03-03"}


def test_a_stopped_program_leaves_no_row_waiting(running: Day, inside: Cast) -> None:
    program = program_of(inside)
    prescribing.stop(program, by=inside.clinician, now=running.now)
    planning.plan_by_id(program.id, inside.organization.id, running.now)
    assert local_days() == {}


def test_another_number_gets_the_rows_that_wait(running: Day, inside: Cast) -> None:
    from clinic import enrolling

    enrolling.change_number(
        inside.client, "+12125550117", by=inside.desk, now=running.now
    )
    planning.plan_all(running.now)
    current = access.current_number(inside.client)
    assert {row.phone_id for row in rows(state="pending")} == {current.id}  # type: ignore[union-attr]


def test_nothing_is_planned_before_the_first_text_is_answered(inside: Cast) -> None:
    prescribe(inside.client, inside.clinician)
    assert planning.plan_all(NOW) == 0


def test_nothing_is_planned_after_an_opt_out_until_start(
    running: Day, inside: Cast
) -> None:
    running.text(NUMBER, SENDING, "STOP")
    planning.plan_all(running.now)
    assert local_days() == {}
    running.text(NUMBER, SENDING, "START")
    planning.plan_all(running.now)
    assert len(local_days()["03-03"]) == 5


def test_the_weekly_safety_question_takes_one_slot_a_week(
    running: Day, inside: Cast
) -> None:
    for day in range(15):
        planning.plan_all(running.now + timedelta(days=day))
    days = [row.local_date for row in rows(kind="weekly_safety")]
    assert len(days) == 2
    assert days[1] - days[0] == timedelta(days=7)
    for day in days:
        assert rows(local_date=day).count() == 5


def test_the_weekly_safety_question_is_asked_in_its_own_words(
    running: Day, inside: Cast
) -> None:
    planning.plan_all(running.now + timedelta(days=3))
    row = rows(kind="weekly_safety")[0]
    sending.send_due(running.phones, row.due_at)
    assert "weekly safety question" in running.phones.to(NUMBER)[-1]
    assert Outbound.objects.get(pk=row.pk).asks == "safety"


@pytest.mark.parametrize(
    ("zone", "day"),
    [
        ("America/New_York", "2026-03-08"),
        ("America/New_York", "2026-11-01"),
        ("Europe/London", "2026-03-29"),
        ("Europe/London", "2026-10-25"),
        ("Australia/Sydney", "2026-04-05"),
        ("Australia/Lord_Howe", "2026-10-04"),
    ],
)
def test_a_day_on_which_the_clocks_change_has_its_five_at_the_usual_times(
    inside: Cast, zone: str, day: str
) -> None:
    local = ZoneInfo(zone)
    change = datetime.fromisoformat(day).replace(hour=12, tzinfo=local)
    start = (change - timedelta(days=3)).astimezone(UTC)
    Client.objects.update(time_zone=zone, monitoring="active", monitored_since=start)
    inside.client.refresh_from_db()
    prescribe(inside.client, inside.clinician, now=start, review_on=change.date())
    for hour in range(0, 120, 6):
        planning.plan_all(start + timedelta(hours=hour))
    times = {
        each: [
            row.due_at.astimezone(local).strftime("%H:%M")
            for row in rows(local_date=each)
        ]
        for each in (change.date() + timedelta(days=n) for n in (-1, 0, 1))
    }
    assert len(set(map(tuple, times.values()))) == 1
    assert len(times[change.date()]) == 5


def test_an_impossible_plan_is_left_out_and_stops_nobody_else(
    running: Day, inside: Cast
) -> None:
    inside.site.quiet_from, inside.site.quiet_to = time(7, 0), time(22, 0)
    inside.site.save()
    planning.plan_all(running.now)
    assert local_days() == {}


def test_a_wrong_number_gets_no_row(running: Day, inside: Cast) -> None:
    phone = access.current_number(inside.client)
    assert phone is not None
    consenting.mark_wrong(phone, inbound=None, now=running.now)
    program = program_of(inside)
    planning.plan_by_id(program.id, inside.organization.id, running.now)
    assert local_days() == {}


def test_a_plan_of_another_organization_is_not_touched(
    running: Day, cast: Cast
) -> None:
    with scope.within(cast.organization.id):
        program = program_of(cast)
    assert planning.plan_by_id(program.id, cast.other_organization.id, NOW) == 0
