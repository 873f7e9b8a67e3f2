"""The load of reminders from stored rows: thinned, told once, back when it turns."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

import pytest

from clinic import access, scope
from clinic.errors import BadInput, Conflict
from clinic.models import AuditEntry
from programs import prescribing, reporting
from programs.logic.reports import SymptomReport
from programs.models import AssessmentRecord, HomeProgram
from reminders import (
    adapting,
    alerting,
    composing,
    following_up,
    outbox,
    planning,
    surroundings,
    watching,
)
from reminders.logic.findings import Finding
from reminders.logic.segments import measure
from reminders.models import Inbound, Outbound, ReminderLoad
from tests.cast import NOW, Cast, prescribe

DAY = timedelta(days=1)
LATER = NOW + 8 * DAY


@pytest.fixture
def program(cast: Cast) -> Iterator[HomeProgram]:
    """Ten sessions' worth of a client who was confirmed long ago."""
    cast.client.monitoring = "active"
    cast.client.last_heard_at = LATER
    cast.client.save()
    row = prescribe(cast.client, cast.clinician)
    with scope.within(cast.organization.id):
        yield row


def week(
    program: HomeProgram, *, replies: float = 1.0, prompted: bool = True, **said: Any
) -> None:
    """A week of due sessions, reminded of and answered."""
    client = program.client
    due = surroundings.prescribed(client, program, NOW, LATER)
    values = {"completion": "done", "pain": 3, "areas": {"back": "same"}} | said
    for index, at in enumerate(due):
        if prompted:
            _sent(program, at, index)
        if index % 10 < replies * 10:
            report = SymptomReport(at + timedelta(minutes=30), **values)
            reporting.record(
                client, report, program=program, key=f"w{index}", actor="client", now=at
            )


def _sent(program: HomeProgram, at: datetime, index: int) -> None:
    Outbound.objects.create(
        organization_id=program.organization_id,
        client=program.client,
        key=f"sent:{index}",
        kind="reminder",
        asks="session",
        due_at=at,
        not_after=at,
        state="delivered",
        sent_at=at,
    )


def assessed(program: HomeProgram, *reasons: str, **numbers: Any) -> None:
    AssessmentRecord.objects.create(
        organization_id=program.organization_id,
        client=program.client,
        at=LATER,
        location_trend="unclear",
        pain_trend="unclear",
        reasons=list(reasons),
        numbers=numbers,
    )


def adapt(program: HomeProgram, now: datetime = LATER) -> ReminderLoad | None:
    return adapting.adapt(program.client, program, now=now)


def told() -> list[str]:
    rows = Outbound.objects.filter(kind__startswith="load_").order_by("id")
    return [row.kind for row in rows]


def pending(program: HomeProgram, now: datetime) -> int:
    planning.plan_program(program, now)
    rows = Outbound.objects.filter(
        state="pending", kind__in=("reminder", "weekly_safety")
    )
    day = prescribing.local_day(program.client, now) + DAY
    return int(rows.filter(local_date=day).count())


def test_the_steady_are_reminded_less_and_told_in_one_text(
    program: HomeProgram,
) -> None:
    week(program)
    assessed(program, "working_keep")
    assert pending(program, LATER) == 5
    row = adapt(program)
    assert row is not None
    assert (row.level, row.reason, row.by) == ("fewer", "adherent", None)
    assert adapt(program) is None
    assert told() == ["load_less"]
    text = Outbound.objects.get(kind="load_less")
    assert measure(text.body).parts == 1
    assert text.asks == ""
    assert pending(program, LATER) == 3
    assert AuditEntry.objects.filter(action="load.changed").count() == 1


def test_unprompted_sessions_thin_the_reminders(program: HomeProgram) -> None:
    week(program, prompted=False)
    assessed(program)
    row = adapt(program)
    assert row is not None
    assert row.reason == "unprompted"


def test_nothing_is_thinned_in_the_first_week_or_without_settling(
    program: HomeProgram,
) -> None:
    week(program)
    assessed(program)
    assert adapt(program) is None
    assessed(program, "working_keep")
    assert adapt(program, NOW + 6 * DAY) is None


def test_the_settled_get_two_a_day_and_worse_brings_all_back(
    program: HomeProgram,
) -> None:
    week(program)
    assessed(program, "ready_to_progress", ready_to_progress={"settled": 1.0})
    row = adapt(program)
    assert row is not None
    assert (row.level, row.reason) == ("few", "settled")
    assert pending(program, LATER) == 2
    client = program.client
    alerting.raise_alert(client, [Finding("spreading", "next_day")], now=LATER)
    back = adapt(program)
    assert back is not None
    assert (back.level, back.reason) == ("full", "worse")
    assert told() == ["load_less", "load_full"]
    assert pending(program, LATER) == 5


def test_silence_brings_every_reminder_back_without_a_second_text(
    program: HomeProgram,
) -> None:
    week(program)
    assessed(program, "working_keep")
    adapt(program)
    watching.watch(LATER + timedelta(hours=25))
    newest = adapting.current(program)
    assert newest is not None
    assert (newest.level, newest.reason) == ("full", "silent")
    assert told() == ["load_less"]


def test_a_fixed_load_stays_whatever_happens_until_it_is_released(
    cast: Cast, program: HomeProgram
) -> None:
    adapting.fix(program.client, "few", by=cast.clinician, now=LATER)
    assessed(program, "spreading")
    assert adapt(program) is None
    watching.watch(LATER + timedelta(hours=25))
    newest = adapting.current(program)
    assert newest is not None
    assert (newest.level, newest.fixed) == ("few", True)
    adapting.fix(program.client, None, by=cast.clinician, now=LATER + DAY)
    back = adapt(program, LATER + DAY)
    assert back is not None
    assert back.reason == "worse"


def test_a_wrong_level_or_no_program_is_refused(
    cast: Cast, program: HomeProgram
) -> None:
    with pytest.raises(BadInput):
        adapting.fix(program.client, "none", by=cast.clinician, now=LATER)
    prescribing.stop(program, by=cast.clinician, now=LATER)
    with pytest.raises(Conflict):
        adapting.fix(program.client, "few", by=cast.clinician, now=LATER)


def test_a_question_is_open_from_its_writing_to_its_answer(
    cast: Cast, program: HomeProgram
) -> None:
    client = program.client
    assert not surroundings.has_open_question(client, LATER)
    phone = access.current_number(client)
    assert phone is not None
    text = composing.site_text("ask_reach", client.site, "en")
    row = outbox.put(text, key="ask", phone=phone, now=LATER, client=client)
    assert row is not None
    assert surroundings.has_open_question(client, LATER)
    Outbound.objects.filter(pk=row.pk).update(sent_at=LATER, state="delivered")
    assert surroundings.has_open_question(client, LATER + DAY)
    Inbound.objects.create(
        organization_id=client.organization_id,
        gateway_id="SM1",
        client=client,
        from_number="+12025550143",
        to_number="+12025550100",
        body="thigh",
        received_at=LATER + DAY,
    )
    assert not surroundings.has_open_question(client, LATER + DAY)


def test_a_fault_in_following_up_never_reaches_the_reply(
    program: HomeProgram, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*args: Any, **kwargs: Any) -> None:
        raise RuntimeError

    monkeypatch.setattr(adapting, "adapt", fails)
    following_up.after_reply(program.client, LATER)
    assert not ReminderLoad.objects.exists()


def test_the_rates_leave_out_held_time_and_open_worsenings(
    cast: Cast, program: HomeProgram
) -> None:
    week(program, replies=0.5)
    client = program.client
    whole = surroundings.sessions(client, program, LATER)
    assert whole.prescribed == whole.sent
    assert (whole.reply_rate or 0) < 0.6
    prescribing.hold(program, actor="client", now=LATER - 2 * DAY)
    part = surroundings.sessions(client, program, LATER)
    assert part.prescribed == whole.prescribed - 10
    prescribing.go_on(program, by=cast.clinician, now=LATER - DAY)
    assert surroundings.sessions(client, program, LATER).prescribed == (
        whole.prescribed - 5
    )
    alerting.raise_alert(client, [Finding("pain_up", "next_day")], now=LATER - DAY)
    assert surroundings.sessions(client, program, LATER).prescribed == (
        whole.prescribed - 10
    )
