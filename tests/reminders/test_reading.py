"""Reading: who wrote, what follows; a number is a claim, never proof of a person."""

from __future__ import annotations

from typing import Any

import pytest

from clinic import access, scope
from clinic.models import Client, PhoneNumber
from programs import prescribing
from reminders import alerting
from reminders.models import DeskTask, Inbound, Outbound
from tests import cast as people
from tests.cast import NOW, NUMBER, SENDING, Cast, prescribe
from tests.journeys.day import Day

WRONG = [
    "wrong number",
    "Wrong number!",
    "sorry you have the wrong number",
    "you've got the wrong number",
    "u have wrong number",
    "wrong person",
    "I think you have the wrong person",
    "you have the wrong phone",
    "no one here by that name",
    "nobody by that name here",
    "I just got this number",
    "I'm not a patient",
    "this isn't her number anymore",
    "Not her number",
    "got this number last week",
    "new owner of this number",
    "this number belongs to someone else",
    "im not your patient",
    "never been to your clinic",
    "I don't know who this is",
    "I never signed up for this",
    "WRONG NUMBER STOP TEXTING ME",
    "número equivocado",
    "se equivocó de número",
    "faux numéro",
    "mauvais numéro",
    "vous vous trompez de numéro",
]


def reasons(client: Client) -> frozenset[str]:
    return alerting.open_reasons(alerting.open_chain(client))


@pytest.mark.parametrize("words", WRONG)
def test_a_wrong_number_ends_the_texts_and_is_told_nothing(
    running: Day, inside: Cast, words: str
) -> None:
    before = list(running.phones.to(NUMBER))
    running.text(NUMBER, SENDING, words)
    running.forward(hours=6)
    told = running.phones.to(NUMBER)[len(before) :]
    assert all("no more texts" in text for text in told)
    assert len(told) <= ("STOP" in words)
    assert DeskTask.objects.filter(code="wrong_number").count() == 1
    assert "wrong_number" in reasons(inside.client)
    assert inside.client.reports.count() == 0
    assert not access.current_number(inside.client).may_receive  # type: ignore[union-attr]


def test_what_a_wrong_number_writes_later_reaches_no_chart(
    running: Day, inside: Cast
) -> None:
    running.text(NUMBER, SENDING, "wrong number")
    running.text(NUMBER, SENDING, "done, pain 9, foot")
    assert inside.client.reports.count() == 0
    assert Inbound.objects.get(state="unknown").client is None
    assert reasons(inside.client) == {"wrong_number"}


@pytest.mark.parametrize("words", ["who is this?", "wrong leg today, pain 3", "done"])
def test_other_words_do_not_end_the_texts(
    running: Day, inside: Cast, words: str
) -> None:
    running.text(NUMBER, SENDING, words)
    assert DeskTask.objects.filter(code="wrong_number").count() == 0


@pytest.fixture
def pair(running: Day, inside: Cast) -> tuple[Client, Client]:
    """Two clients of one site who share a number, both on a program."""
    other = people.enroll(inside.site, inside.clinician, name="Second Person", now=NOW)
    prescribe(other, inside.clinician)
    return inside.client, other


def test_a_text_from_a_shared_number_is_filed_to_nobody_and_shown_for_each(
    running: Day, pair: tuple[Client, Client]
) -> None:
    before = len(running.phones.to(NUMBER))
    running.text(NUMBER, SENDING, "done, pain 3, back")
    for client in pair:
        assert "shared_number" in reasons(client)
        assert client.reports.count() == 0
    assert Inbound.objects.order_by("-received_at", "-id")[0].client is None
    assert DeskTask.objects.filter(code="shared_number").count() == 2
    texts = running.phones.to(NUMBER)[before:]
    assert any("A person at Elm Row will read this" in text for text in texts)


def test_warning_words_from_a_shared_number_hold_and_flag_both(
    running: Day, pair: tuple[Client, Client]
) -> None:
    running.text(NUMBER, SENDING, "numb between my legs and cant pee")
    for client in pair:
        assert "bladder_bowel" in reasons(client)
        assert prescribing.running(client).state == "held"  # type: ignore[union-attr]
    texts = running.phones.to(NUMBER)
    assert sum("go to an emergency department" in text for text in texts) == 1
    assert len(running.phones.to("+12025550191")) >= 1


def test_stop_from_a_shared_number_ends_the_texts_of_both(
    running: Day, pair: tuple[Client, Client]
) -> None:
    running.text(NUMBER, SENDING, "STOP")
    for client in pair:
        client.refresh_from_db()
        assert client.ended_reason == "opted_out"
    before = len(running.phones.to(NUMBER))
    running.forward(hours=4)
    assert len(running.phones.to(NUMBER)) == before


def test_start_from_a_shared_number_opens_it_again(
    running: Day, pair: tuple[Client, Client]
) -> None:
    running.text(NUMBER, SENDING, "STOP")
    running.text(NUMBER, SENDING, "START")
    assert PhoneNumber.objects.get().opted_out_at is None
    for client in pair:
        client.refresh_from_db()
        assert client.monitoring == "active"
    assert "on again" in running.phones.to(NUMBER)[-1]


def test_one_number_at_two_organizations_is_two_conversations(
    running: Day, inside: Cast
) -> None:
    with scope.within(inside.other_organization.id):
        other = people.enroll(inside.other_site, inside.outsider, name="Elsewhere")
    running.text(NUMBER, SENDING, "done, pain 3, back")
    assert inside.client.reports.count() == 1
    running.text(NUMBER, people.OTHER_SENDING, "STOP")
    inside.client.refresh_from_db()
    assert inside.client.monitoring == "active"
    with scope.within(inside.other_organization.id):
        other.refresh_from_db()
        assert other.ended_reason == "opted_out"


@pytest.mark.parametrize("word", ["START", "unstop", "YES", "ok", "👍", "done 4"])
def test_any_answer_to_the_first_text_confirms_it(
    cast: Cast, day: Day, inside: Cast, word: str
) -> None:
    prescribe(cast.client, cast.clinician)
    day.work()
    day.text(NUMBER, SENDING, word)
    cast.client.refresh_from_db()
    assert cast.client.monitoring == "active"
    day.work()
    assert Outbound.objects.filter(kind="reminder").exists()


@pytest.mark.parametrize("word", ["START", "done 3"])
def test_who_fell_silent_and_writes_again_is_monitored_again(
    running: Day, inside: Cast, word: str
) -> None:
    from clinic import consenting

    consenting.end_monitoring(inside.client, "silent", actor="service", now=running.now)
    running.text(NUMBER, SENDING, word)
    inside.client.refresh_from_db()
    assert inside.client.monitoring == "active"


def test_a_discharged_client_is_not_put_on_texts_again_by_start(
    running: Day, inside: Cast
) -> None:
    from clinic import consenting

    consenting.end_monitoring(
        inside.client, "discharged", actor=inside.clinician, now=running.now
    )
    running.text(NUMBER, SENDING, "START")
    inside.client.refresh_from_db()
    assert inside.client.monitoring == "ended"
    assert "on again" not in running.phones.to(NUMBER)[-1]


@pytest.mark.parametrize("word", ["START", "YES", "start", "unstop"])
def test_only_the_person_opens_the_texts_again(
    running: Day, inside: Cast, word: str
) -> None:
    running.text(NUMBER, SENDING, "STOP")
    running.text(NUMBER, SENDING, "hello?")
    assert PhoneNumber.objects.get().opted_out_at is not None
    running.text(NUMBER, SENDING, word)
    assert PhoneNumber.objects.get().opted_out_at is None
    inside.client.refresh_from_db()
    assert inside.client.monitoring == "active"


def test_a_reply_never_repeats_what_it_answers(running: Day, inside: Cast) -> None:
    before = len(running.phones.to(NUMBER))
    running.text(NUMBER, SENDING, "done, pain 7, tingling in my left calf")
    (answer,) = running.phones.to(NUMBER)[before:]
    for word in ("7", "calf", "tingling", "left"):
        assert word not in answer


def test_reading_twice_changes_nothing(running: Day, inside: Cast) -> None:
    from reminders import reading

    running.text(NUMBER, SENDING, "worse today 7, now down to my calf and foot")
    row = Inbound.objects.order_by("-received_at", "-id")[0]
    counts: Any = (Outbound.objects.count(), inside.client.reports.count())
    reading.read(row.id, running.now)
    assert (Outbound.objects.count(), inside.client.reports.count()) == counts
    assert inside.client.alerts.count() == 1


@pytest.mark.parametrize(
    "body",
    [
        "wrong number of reps yesterday",
        "did it wrong, no pain 2",
        "sent the wrong number before, its 7",
        "wrong number, pain is 6 down to my calf",
        "numero equivocado de repeticiones",
    ],
)
def test_a_report_with_the_word_wrong_keeps_the_client_watched(
    running: Day, inside: Cast, body: str
) -> None:
    running.text(NUMBER, SENDING, body)
    inside.client.refresh_from_db()
    assert inside.client.monitoring == "active"
    assert not DeskTask.objects.filter(code="wrong_number").exists()


def test_warning_words_beside_wrong_number_are_answered_and_paged(
    running: Day, inside: Cast
) -> None:
    running.text(NUMBER, SENDING, "wrong number but I cant pee and my legs are numb")
    inside.client.refresh_from_db()
    assert inside.client.monitoring == "active"
    assert "emergency" in running.phones.to(NUMBER)[-1]
    assert running.phones.to("+12025550191")


@pytest.mark.parametrize(
    ("body", "code"),
    [
        ("texts at 6am are too early", "text_times"),
        ("can I move Thursday's appointment?", "appointment"),
    ],
)
def test_an_errand_is_a_task_of_the_desk_and_no_clinicians(
    inside: Cast, running: Day, body: str, code: str
) -> None:
    running.text(NUMBER, SENDING, body)
    assert DeskTask.objects.get(client=inside.client, code=code).detail == ""
    assert "question" not in reasons(inside.client)


def test_an_errand_beside_a_clinical_question_is_both(
    inside: Cast, running: Day
) -> None:
    running.text(NUMBER, SENDING, "can I move my appointment, and is my wrist normal?")
    assert DeskTask.objects.filter(client=inside.client, code="appointment").exists()
    assert "question" in reasons(inside.client)
