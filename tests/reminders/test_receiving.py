"""Receiving: kept before it is read, whoever wrote and whatever breaks."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from clinic import access, enrolling, scope
from clinic.errors import Conflict
from clinic.logic.ids import new_id
from clinic.models import PhoneNumber
from reminders import alerting, composing, outbox, reading, receiving, sending
from reminders.models import DeskTask, Inbound, Outbound
from tests import cast as people
from tests.cast import NOW, NUMBER, OTHER_NUMBER, OTHER_SENDING, SENDING, Cast
from tests.journeys.day import Day

STRANGER = "+12025550177"


def reasons(cast: Cast) -> frozenset[str]:
    return alerting.open_reasons(alerting.open_chain(cast.client))


def texts_to(day: Day, number: str) -> list[str]:
    return day.phones.to(number)


def test_a_text_is_kept_with_who_wrote_when_and_to_what(
    running: Day, inside: Cast
) -> None:
    running.text(NUMBER, SENDING, "done, pain 3")
    row = Inbound.objects.order_by("-received_at", "-id")[0]
    assert (row.client, row.body) == (inside.client, "done, pain 3")
    assert row.received_at == running.now
    inside.client.refresh_from_db()
    assert inside.client.last_heard_at == running.now


def test_the_same_message_again_changes_nothing(running: Day, inside: Cast) -> None:
    for body in ("done 3", "done 3", "worse, 9, foot"):
        running.text(NUMBER, SENDING, body, MessageSid="SMsame")
    assert Inbound.objects.get(gateway_id="SMsame").body == "done 3"
    assert inside.client.reports.count() == 1


def test_a_long_text_is_read_to_its_end(running: Day, inside: Cast) -> None:
    running.text(NUMBER, SENDING, "it is fine. " * 830 + "I cant pee since noon")
    assert "bladder_bowel" in reasons(inside)


def test_a_text_to_a_number_that_is_not_ours_is_kept_and_reaches_nobody(
    running: Day, inside: Cast
) -> None:
    before = len(running.phones.taken)
    running.text(NUMBER, "+12025550199", "done 3")
    row = Inbound.objects.across("no organization").get(to_number="+12025550199")
    assert (row.state, row.organization, row.client) == ("unknown", None, None)
    assert inside.client.reports.count() == 0
    assert len(running.phones.taken) == before


def test_a_text_to_the_other_organization_stays_there(
    running: Day, inside: Cast
) -> None:
    running.text(NUMBER, OTHER_SENDING, "worse, pain 9, foot")
    assert reasons(inside) == frozenset()
    assert inside.client.reports.count() == 0
    assert DeskTask.objects.count() == 0
    with scope.within(inside.other_organization.id):
        assert DeskTask.objects.get().code == "unknown_number"


def test_a_number_nobody_has_is_a_task_without_an_answer(
    running: Day, inside: Cast
) -> None:
    running.text(STRANGER, SENDING, "when is my appointment?")
    task = DeskTask.objects.get()
    assert (task.code, task.client, task.detail) == ("unknown_number", None, STRANGER)
    assert texts_to(running, STRANGER) == []


def test_warning_words_from_a_number_nobody_has_are_answered_and_paged(
    running: Day, inside: Cast
) -> None:
    running.text(STRANGER, SENDING, "numb between my legs and cant pee")
    (text,) = texts_to(running, STRANGER)
    assert "911" in text
    assert len(texts_to(running, "+12025550191")) == 1
    assert inside.client.alerts.count() == 0


def test_stop_from_a_number_nobody_has_holds_for_whoever_gets_it(
    running: Day, inside: Cast
) -> None:
    running.text(STRANGER, SENDING, "STOP")
    assert texts_to(running, STRANGER) == []
    with pytest.raises(Conflict):
        people.enroll(inside.site, inside.clinician, number=STRANGER, name="New One")


STOPS = [
    "STOP",
    "stop",
    "Stop.",
    "STOPALL",
    "unsubscribe",
    "cancel",
    "QUIT",
    "end",
    "please stop texting me",
    "stop sending me messages",
    "take me off this list",
    "no more texts please",
    "leave me alone",
    "opt out",
    "ARRET",
    "BAJA",
]


@pytest.mark.parametrize("words", STOPS)
def test_stop_with_a_hundred_texts_waiting_lets_only_the_confirmation_leave(
    running: Day, inside: Cast, words: str
) -> None:
    phone = access.current_number(inside.client)
    assert phone is not None
    text = composing.site_text("thanks_done", inside.site, "en")
    for _ in range(100):
        outbox.put(
            text,
            key=f"t:{new_id()}",
            phone=phone,
            now=running.now,
            client=inside.client,
            due_at=running.now + timedelta(minutes=1),
        )
    before = len(texts_to(running, NUMBER))
    running.text(NUMBER, SENDING, words)
    running.now += timedelta(minutes=2)
    sending.send_due(running.phones, running.now)
    after = texts_to(running, NUMBER)[before:]
    assert len(after) == 1
    assert "no more texts" in after[0]


def test_stop_inside_a_report_with_warning_words_alarms_and_ends_the_texts(
    running: Day, inside: Cast
) -> None:
    before = len(texts_to(running, NUMBER))
    running.text(NUMBER, SENDING, "stop texting me, numb between my legs and cant pee")
    (confirmation,) = texts_to(running, NUMBER)[before:]
    assert "no more texts" in confirmation
    assert "emergency department" in confirmation
    assert {"saddle_numbness", "bladder_bowel", "opted_out"} <= reasons(inside)
    assert len(texts_to(running, "+12025550191")) == 1
    assert DeskTask.objects.get().code == "opted_out"


def test_stop_inside_a_report_of_spreading_still_alarms(
    running: Day, inside: Cast
) -> None:
    running.text(NUMBER, SENDING, "done, pain 3, back")
    running.now += timedelta(hours=7)
    words = "worse, 8, down to my foot now. stop texting me"
    running.text(NUMBER, SENDING, words)
    assert {"spreading", "opted_out"} <= reasons(inside)
    assert inside.client.reports.count() == 2


def test_a_second_stop_is_not_confirmed_again(running: Day, inside: Cast) -> None:
    running.text(NUMBER, SENDING, "STOP")
    before = len(texts_to(running, NUMBER))
    running.text(NUMBER, SENDING, "STOP")
    assert len(texts_to(running, NUMBER)) == before


def test_staff_cannot_take_an_opt_out_back(running: Day, inside: Cast) -> None:
    from reminders import enrolling as first_texts

    running.text(NUMBER, SENDING, "STOP")
    with pytest.raises(Conflict):
        first_texts.send_welcome(inside.client, now=running.now)
    with pytest.raises(Conflict):
        people.enroll(inside.site, inside.clinician, name="Same Number")
    enrolling.change_number(
        inside.client, OTHER_NUMBER, by=inside.desk, now=running.now
    )
    rows = PhoneNumber.objects.filter(opted_out_at__isnull=False)
    assert [row.number for row in rows] == [NUMBER]


@pytest.fixture
def broken(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Reading fails until `broken.undo()`."""

    def fail(*_: Any, **__: Any) -> None:
        raise RecursionError("the reader broke")

    context = pytest.MonkeyPatch()
    context.setattr(reading, "parse_reply", fail)
    context.setattr(receiving, "parse_reply", fail)
    yield context
    context.undo()


def test_a_text_that_cannot_be_read_is_kept_and_shown_to_a_person(
    running: Day, inside: Cast, broken: pytest.MonkeyPatch
) -> None:
    answer = running.text(NUMBER, SENDING, "worse today 7, now down to my foot")
    assert answer.status_code == 200
    row = Inbound.objects.get(state="unread")
    assert (row.attempts, row.body) == (1, "worse today 7, now down to my foot")
    alert = alerting.open_chain(inside.client)
    assert alert is not None
    assert (alert.urgency, reasons(inside)) == ("same_day", {"unread"})


def test_the_sweep_reads_it_once_reading_works_again(
    running: Day, inside: Cast, broken: pytest.MonkeyPatch
) -> None:
    running.text(NUMBER, SENDING, "worse today 7, now down to my foot")
    assert receiving.sweep(running.now) == 0
    broken.undo()
    running.now += timedelta(seconds=31)
    assert receiving.sweep(running.now) == 1
    assert receiving.sweep(running.now) == 0
    row = Inbound.objects.order_by("-received_at")[0]
    assert row.state == "read"
    assert inside.client.reports.get().at == row.received_at
    assert "spreading" in reasons(inside)


def test_stop_that_could_not_be_read_ends_the_texts_when_the_sweep_reads_it(
    running: Day, inside: Cast, broken: pytest.MonkeyPatch
) -> None:
    running.text(NUMBER, SENDING, "STOP")
    broken.undo()
    running.now += timedelta(minutes=1)
    receiving.sweep(running.now)
    inside.client.refresh_from_db()
    assert inside.client.ended_reason == "opted_out"
    phone = access.current_number(inside.client)
    assert phone is not None
    assert phone.opted_out_at == running.now


def test_the_sweep_gives_up_after_some_tries_and_the_alert_stays(
    running: Day, inside: Cast, broken: pytest.MonkeyPatch
) -> None:
    running.text(NUMBER, SENDING, "hello")
    for _ in range(9):
        running.now += timedelta(minutes=1)
        receiving.sweep(running.now)
    assert Inbound.objects.get(state="unread").attempts == receiving.MOST_ATTEMPTS
    assert reasons(inside) == {"unread"}
    assert inside.client.alerts.count() == 1


def test_a_text_lost_between_keeping_and_reading_is_found(
    running: Day, inside: Cast
) -> None:
    """The process ended right after the first commit."""
    arrival = receiving.Arrival("SMcrash", NUMBER, SENDING, "cant pee, numb crotch")
    receiving.store(arrival, running.now)
    assert reasons(inside) == frozenset()
    running.now += timedelta(minutes=1)
    assert receiving.sweep(running.now) == 1
    assert "bladder_bowel" in reasons(inside)
    assert Outbound.objects.filter(kind__startswith="safety").exists()


def test_an_unread_text_on_a_shared_number_is_shown_for_each(
    running: Day, inside: Cast, broken: pytest.MonkeyPatch
) -> None:
    other = people.enroll(inside.site, inside.clinician, name="Second Person", now=NOW)
    running.text(NUMBER, SENDING, "worse")
    for client in (inside.client, other):
        assert alerting.open_reasons(alerting.open_chain(client)) == {"unread"}


def test_an_unread_text_from_a_number_nobody_has_is_a_task(
    running: Day, inside: Cast, broken: pytest.MonkeyPatch
) -> None:
    running.text(STRANGER, SENDING, "help me please")
    assert DeskTask.objects.get().code == "unknown_number"
