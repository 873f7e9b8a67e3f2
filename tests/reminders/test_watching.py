"""Watching: the silence ladder and open questions, each step exactly once."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

import pytest

from clinic import access
from clinic.models import SiteClosure
from programs import prescribing
from reminders import alerting, composing, outbox, receiving, sending, watching
from reminders.models import AlertEvent, DeskTask, Outbound
from tests.cast import NUMBER, SENDING, Cast
from tests.journeys.day import Day


def hours_from(start: datetime, end_hours: int) -> Iterator[datetime]:
    return (start + timedelta(hours=hour) for hour in range(end_hours + 1))


def watch_for(day: Day, hours: int) -> list[tuple[int, int]]:
    """(hour, steps taken) for each hour in which a step was taken."""
    taken = [watching.watch(at) for at in hours_from(day.now, hours)]
    return [(hour, count) for hour, count in enumerate(taken) if count]


def raised(cast: Cast) -> list[tuple[str, str]]:
    events = AlertEvent.objects.filter(alert__client=cast.client).exclude(reason="")
    return list(events.order_by("at", "id").values_list("reason", "urgency"))


def test_two_weeks_of_silence_take_each_step_once(running: Day, inside: Cast) -> None:
    found = watch_for(running, 15 * 24)
    assert [hour for hour, _ in found] == [24, 48, 72, 168, 336]
    assert raised(inside) == [
        ("silent", "review"),
        ("silent", "next_day"),
        ("silent_week", "next_day"),
        ("not_monitored", "next_day"),
    ]
    kinds = Outbound.objects.filter(kind__in=("nudge", "last_text"))
    assert sorted(kinds.values_list("kind", flat=True)) == ["last_text", "nudge"]
    assert DeskTask.objects.filter(code="call").count() == 1
    inside.client.refresh_from_db()
    assert (inside.client.monitoring, inside.client.ended_reason) == ("ended", "silent")


def test_a_reply_starts_the_ladder_anew(running: Day, inside: Cast) -> None:
    watch_for(running, 40)
    running.now += timedelta(hours=40)
    running.text(NUMBER, SENDING, "done 3")
    found = watch_for(running, 30)
    assert [hour for hour, _ in found] == [24]
    assert Outbound.objects.filter(kind="nudge").count() == 2


def test_a_nudge_waits_for_the_clients_daytime(running: Day, inside: Cast) -> None:
    running.now += timedelta(hours=12)
    running.text(NUMBER, SENDING, "done 3")  # 22:00 at the client's
    watch_for(running, 30)
    due = Outbound.objects.get(kind="nudge").due_at
    assert due == running.now + timedelta(hours=34)  # 08:00 there


def test_a_paused_program_keeps_no_watch(running: Day, inside: Cast) -> None:
    pause(inside, running.now)
    assert watch_for(running, 100) == []


def test_hours_of_a_pause_do_not_count_afterwards(running: Day, inside: Cast) -> None:
    program = pause(inside, running.now + timedelta(hours=10))
    back = running.now + timedelta(hours=110)
    prescribing.go_on(program, by=inside.clinician, now=back)
    found = watch_for(running, 175)
    assert [hour for hour, _ in found] == [124, 148, 172]


def test_days_on_which_the_site_is_closed_do_not_count(
    running: Day, inside: Cast
) -> None:
    SiteClosure.objects.create(
        organization_id=inside.organization.id,
        site=inside.site,
        on=(running.now + timedelta(days=1)).date(),
    )
    found = watch_for(running, 60)
    assert [hour for hour, _ in found] == [48]


def test_silence_after_a_worse_reply_is_for_the_next_day(
    running: Day, inside: Cast
) -> None:
    running.text(NUMBER, SENDING, "done 3, back")
    running.now += timedelta(hours=7)
    running.text(NUMBER, SENDING, "worse, 8, down to my foot now")
    watch_for(running, 50)
    assert ("silent", "next_day") in raised(inside)


@pytest.mark.parametrize(
    ("kind", "minutes", "reason"),
    [("ask_safety", 60, "safety_unanswered"), ("ask_who", 30, "who_unanswered")],
)
def test_an_open_question_becomes_same_day_once(
    running: Day, inside: Cast, kind: str, minutes: int, reason: str
) -> None:
    ask(inside, running, kind)
    assert watching.watch(running.now + timedelta(minutes=minutes - 1)) == 0
    for extra in range(0, 120, 10):
        watching.watch(running.now + timedelta(minutes=minutes + extra))
    assert raised(inside) == [(reason, "same_day")]


def test_an_answered_question_raises_nothing(running: Day, inside: Cast) -> None:
    ask(inside, running, "ask_safety")
    running.now += timedelta(minutes=20)
    running.text(NUMBER, SENDING, "none")
    watching.watch(running.now + timedelta(hours=2))
    assert "safety_unanswered" not in alerting.open_reasons(
        alerting.open_chain(inside.client)
    )


def test_a_question_about_reach_or_pain_raises_nothing(
    running: Day, inside: Cast
) -> None:
    ask(inside, running, "ask_reach")
    assert watching.watch(running.now + timedelta(hours=5)) == 0


def test_watch_and_sweep_on_a_quiet_day_change_nothing(
    running: Day, inside: Cast
) -> None:
    at = running.now + timedelta(hours=1)
    assert (watching.watch(at), receiving.sweep(at)) == (0, 0)


def pause(cast: Cast, at: datetime) -> prescribing.HomeProgram:
    program = prescribing.running(cast.client)
    assert program is not None
    prescribing.pause(program, until=None, by=cast.clinician, now=at)
    return program


def ask(cast: Cast, day: Day, kind: str) -> None:
    phone = access.current_number(cast.client)
    assert phone is not None
    text = composing.site_text(kind, cast.site, "en")
    outbox.put(text, key=f"t:{kind}", phone=phone, now=day.now, client=cast.client)
    sending.send_due(day.phones, day.now)
