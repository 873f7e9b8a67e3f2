"""A short answer means what the question before it asked: a day of questions."""

from __future__ import annotations

from typing import Any

import pytest

from clinic import scope
from clinic.models import Client, ConsentEvent
from programs import prescribing
from reminders import alerting, composing, outbox
from reminders.models import Outbound
from tests.cast import NOW, NUMBER, SENDING, Cast, prescribe
from tests.journeys.day import TOKEN, Day


@pytest.fixture(autouse=True)
def _token(settings: Any) -> None:
    settings.TWILIO_AUTH_TOKEN = TOKEN


@pytest.fixture
def day(cast: Cast) -> Day:
    """A client on a program who has just had the day's second reminder."""
    prescribe(cast.client, cast.clinician)
    day = Day(NOW)
    day.work()
    day.text(NUMBER, SENDING, "ok")
    return day.forward(hours=4)


def last(day: Day) -> str:
    return day.phones.to(NUMBER)[-1]


def reasons(cast: Cast) -> dict[str, str]:
    with scope.within(cast.organization.id):
        alert = alerting.open_chain(cast.client)
        return {e["reason"]: e["urgency"] for e in alert.reasons} if alert else {}


def client(cast: Cast) -> Client:
    with scope.within(cast.organization.id):
        return Client.objects.get(pk=cast.client.pk)


def last_kind(cast: Cast) -> str:
    with scope.within(cast.organization.id):
        sent = Outbound.objects.filter(client=cast.client, sent_at__isnull=False)
        return str(sent.order_by("-sent_at", "-id").values_list("kind", flat=True)[0])


def test_new_numbness_is_asked_back_at_once_and_seen_next_day(
    cast: Cast, day: Day
) -> None:
    day.text(NUMBER, SENDING, "done, 3, my foot has gone numb since lunch")
    assert "NEW or NONE" in last(day)
    assert reasons(cast).get("new_numbness") in ("next_day", "same_day")


def test_none_to_the_safety_question_is_a_whole_answer(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, "done, 3, my foot has gone numb since lunch")
    before = reasons(cast)
    day.text(NUMBER, SENDING, "NONE")
    assert last_kind(cast) in ("answer_held", "thanks_same")
    assert reasons(cast) == before


def test_new_to_the_safety_question_is_an_emergency(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, "done, 3, my foot has gone numb since lunch")
    day.text(NUMBER, SENDING, "NEW")
    assert "emergency" in reasons(cast).values()
    assert last_kind(cast) == "safety_spine"
    assert day.phones.to("+12025550191")


def test_an_unanswered_safety_question_becomes_same_day_after_an_hour(
    cast: Cast, day: Day
) -> None:
    day.text(NUMBER, SENDING, "done, 3, my foot has gone numb since lunch")
    day.forward(minutes=70)
    assert reasons(cast).get("safety_unanswered") == "same_day"


def test_words_about_somebody_else_are_asked_back_and_alarm_if_unanswered(
    cast: Cast, day: Day
) -> None:
    day.text(NUMBER, SENDING, "my husband cant pee since this morning")
    assert "ME or OTHER" in last(day)
    day.forward(minutes=40)
    assert reasons(cast).get("who_unanswered") == "same_day"


def test_other_leaves_it_at_a_person_to_look(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, "my husband cant pee since this morning")
    day.text(NUMBER, SENDING, "OTHER")
    day.forward(minutes=40)
    assert "same_day" not in reasons(cast).values()


def test_me_means_it_was_the_client(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, "my husband cant pee since this morning")
    day.text(NUMBER, SENDING, "ME")
    assert reasons(cast).get("about_client") == "same_day"


def test_help_is_answered_and_seen_by_a_person(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, "HELP")
    assert last_kind(cast) == "help"
    assert reasons(cast) == {"question": "review"}


def test_a_rating_after_help_still_answers_the_reminder(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, "HELP")
    day.text(NUMBER, SENDING, "4")
    with scope.within(cast.organization.id):
        assert cast.client.reports.get().pain == 4


def test_half_an_answer_leaves_the_rating_open(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, "done")
    day.text(NUMBER, SENDING, "3")
    with scope.within(cast.organization.id):
        assert [r.pain for r in cast.client.reports.all()] == [None, 3]


def test_a_lone_number_with_no_question_open_is_no_rating(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, "done, 3")
    day.text(NUMBER, SENDING, "7")
    with scope.within(cast.organization.id):
        assert [r.pain for r in cast.client.reports.all() if r.pain is not None] == [3]


def test_a_picture_without_words_is_shown_to_a_person(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, "", NumMedia="1")
    assert reasons(cast) == {"question": "review"}


def test_an_opt_out_inside_a_report_ends_the_texts_and_still_alarms(
    cast: Cast, day: Day
) -> None:
    day.text(NUMBER, SENDING, "stop. pain is 8 and going down my leg")
    assert client(cast).ended_reason == "opted_out"
    assert last_kind(cast).startswith("opt_out_confirmation")
    assert {"opted_out", "spreading"} <= set(reasons(cast))
    with scope.within(cast.organization.id):
        assert cast.client.reports.get().pain == 8


def test_warning_words_with_stop_carry_the_safety_words_and_page_a_person(
    cast: Cast, day: Day
) -> None:
    sent = len(day.phones.to(NUMBER))
    day.text(NUMBER, SENDING, "stop texting me. cant pee and numb between my legs")
    assert len(day.phones.to(NUMBER)) == sent + 1
    assert last_kind(cast) == "opt_out_confirmation_safety"
    assert day.phones.to("+12025550191")
    with scope.within(cast.organization.id):
        program = prescribing.running(cast.client)
        assert program is not None
        assert program.state == "held"


@pytest.mark.parametrize("word", ["START", "yes", "Unstop"])
def test_only_the_person_at_the_number_opens_the_texts_again(
    cast: Cast, day: Day, word: str
) -> None:
    day.text(NUMBER, SENDING, "STOP")
    day.forward(hours=20)
    day.text(NUMBER, SENDING, word)
    assert client(cast).monitoring == "active"
    assert last_kind(cast) == "resumed"
    before = len(day.phones.to(NUMBER))
    day.forward(hours=6)
    assert len(day.phones.to(NUMBER)) > before


def test_consent_is_a_row_of_events_that_only_grows(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, "STOP")
    day.text(NUMBER, SENDING, "START")
    with scope.within(cast.organization.id):
        kinds = list(ConsentEvent.objects.values_list("kind", flat=True))
    assert kinds == ["recorded", "confirmed", "withdrawn", "resumed"]


def test_a_doubtful_opt_out_pauses_the_texts_until_it_is_answered(
    cast: Cast, day: Day
) -> None:
    with scope.within(cast.organization.id):
        phone = cast.client.numbers.get().phone
        text = composing.site_text("ask_opt_out", cast.site, "en")
        outbox.put(text, key="t:1", phone=phone, now=day.now, client=cast.client)
    day.forward(hours=5)
    assert last_kind(cast) == "ask_opt_out"
    day.text(NUMBER, SENDING, "KEEP")
    day.forward(hours=20)
    assert last_kind(cast).startswith("reminder")


def test_silence_is_nudged_then_shown_then_a_call(cast: Cast, day: Day) -> None:
    day.forward(hours=30)
    with scope.within(cast.organization.id):
        assert Outbound.objects.filter(kind="nudge").count() == 1
    day.forward(hours=20)
    assert reasons(cast) == {"silent": "review"}
    day.forward(hours=26)
    assert reasons(cast) == {"silent": "next_day"}


def test_two_weeks_of_silence_end_with_a_last_text(cast: Cast, day: Day) -> None:
    for _ in range(15):
        day.forward(hours=24)
    assert client(cast).ended_reason == "silent"
    with scope.within(cast.organization.id):
        assert Outbound.objects.filter(kind="last_text").count() == 1
        assert "not_monitored" in reasons(cast)
    day.text(NUMBER, SENDING, "sorry was away, pain 3 in my back")
    assert client(cast).monitoring == "active"
