"""The page of one client: what each role is given, and the text back."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest

from clinic import scope
from programs.models import SessionReport
from reminders.models import Outbound
from tests.cast import NOW, NUMBER, SENDING, Cast, prescribe
from tests.journeys.day import TOKEN, Day
from tests.reminders.test_triage_page import WORSE, seen_by, sent_by


@pytest.fixture(autouse=True)
def _token(settings: Any) -> None:
    settings.TWILIO_AUTH_TOKEN = TOKEN


@pytest.fixture
def day(cast: Cast) -> Day:
    """Ines did one session well."""
    prescribe(cast.client, cast.clinician)
    day = Day(NOW)
    day.work()
    day.text(NUMBER, SENDING, "ok")
    day.forward(hours=2)
    day.text(NUMBER, SENDING, "done, pain 3/10, thigh, leg better")
    return day


def path(cast: Cast, more: str = "") -> str:
    return f"/clients/{cast.client.id}{more}"


def page(who: Any, cast: Cast, day: Day) -> str:
    answer = seen_by(who, day, path(cast))
    assert answer.status_code == 200
    return str(answer.content.decode())


def test_a_good_reply_is_shown_read_right(cast: Cast, day: Day) -> None:
    body = page(cast.clinician, cast, day)
    assert re.search(r'<mark title="[^"]*pain 3[^"]*">', body)
    assert "pain 3" in body and "done" in body
    assert 'class="reach reach-full"' in body
    assert 'class="reach reach-narrow"' in body


def test_the_program_is_drawn_with_doses_and_its_start(cast: Cast, day: Day) -> None:
    body = page(cast.clinician, cast, day)
    assert "Prone on elbows" in body or "elbows" in body
    assert "Hold 30 seconds" in body
    assert "right thigh" in body
    assert "asked, none" in body


def test_three_rates_tell_the_week(cast: Cast, day: Day) -> None:
    body = page(cast.clinician, cast, day)
    for words in ("Reminders answered", "done, of all due", "done, of those spoken"):
        assert words in body


def test_the_front_desk_is_given_contact_and_no_symptoms(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, WORSE)
    body = page(cast.desk, cast, day)
    assert NUMBER in body
    assert "agreed to texts" in body
    assert "5 a day" in body
    for hidden in (
        "tingles",
        "pain 3",
        "Symptoms reach",
        "reach-full",
        "elbows",
        "Same day",
        "Decisions",
        "Question back",
        "Starting point",
    ):
        assert hidden not in body, hidden


def test_the_auditor_reads_with_a_masked_number(cast: Cast, day: Day) -> None:
    body = page(cast.auditor, cast, day)
    assert NUMBER not in body
    assert "***43" in body
    assert "Text the client" not in body


@pytest.mark.parametrize("who", ["far_clinician", "outsider"])
def test_a_stranger_finds_nothing(cast: Cast, day: Day, who: str) -> None:
    assert seen_by(getattr(cast, who), day, path(cast)).status_code == 404
    data = {"body": "hello"}
    assert sent_by(getattr(cast, who), day, path(cast, "/texts"), data).status_code in (
        403,
        404,
    )


def test_a_text_back_leaves_and_stands_in_the_thread(cast: Cast, day: Day) -> None:
    data = {"body": "Please call us when you can."}
    answer = sent_by(cast.clinician, day, path(cast, "/texts"), data)
    assert answer.status_code == 302
    day.work()
    assert day.phones.to(NUMBER)[-1] == "Please call us when you can."
    body = page(cast.clinician, cast, day)
    assert "Text by hand" in body
    assert "delivered" in body


def test_a_telling_word_is_refused_until_confirmed(cast: Cast, day: Day) -> None:
    data = {"body": "How is your back pain today?"}
    answer = sent_by(cast.clinician, day, path(cast, "/texts"), data)
    assert answer.status_code == 400
    assert "A bystander could read" in answer.content.decode()
    assert "How is your back pain today?" in answer.content.decode()
    data["despite_health_words"] = "on"
    assert sent_by(cast.clinician, day, path(cast, "/texts"), data).status_code == 302


def test_the_preview_counts_parts_and_names_costly_signs(cast: Cast, day: Day) -> None:
    where = path(cast, "/texts/preview")
    body = sent_by(cast.clinician, day, where, {"body": "x" * 161}).content.decode()
    assert "161 characters, 2 parts" in body
    body = sent_by(cast.clinician, day, where, {"body": "see you 😀"}).content.decode()
    assert "😀" in body and "less than half" in body
    body = sent_by(cast.clinician, day, where, {"body": "x" * 900}).content.decode()
    assert "at most 3" in body


@pytest.mark.parametrize("body", ["\x00", "x" * 10_000, "   ", "\x00\x00"])
def test_a_text_that_cannot_be_sent_is_refused(cast: Cast, day: Day, body: str) -> None:
    answer = sent_by(cast.clinician, day, path(cast, "/texts"), {"body": body})
    assert answer.status_code == 400


def test_in_quiet_hours_the_form_says_when_it_leaves(cast: Cast, day: Day) -> None:
    day.now += timedelta(hours=10)  # 22:00 in New York
    body = page(cast.clinician, cast, day)
    assert "quiet hours" in body
    assert "Tue 08:00" in body


def test_after_stop_nothing_can_be_texted_by_anybody(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, "STOP")
    body = page(cast.clinician, cast, day)
    assert "no longer monitored" in body
    assert "No text can leave" in body
    answer = sent_by(cast.clinician, day, path(cast, "/texts"), {"body": "hello"})
    assert answer.status_code == 409


def test_texts_end_at_the_client_s_word_to_the_desk(cast: Cast, day: Day) -> None:
    assert sent_by(cast.desk, day, path(cast, "/end"), {}).status_code == 400
    answer = sent_by(cast.desk, day, path(cast, "/end"), {"sure": "on"})
    assert answer.status_code == 302
    before = len(day.phones.taken)
    day.forward(hours=5)
    assert len(day.phones.taken) == before
    assert "no longer monitored" in seen_by(cast.clinician, day).content.decode()


def test_a_wrong_report_is_taken_out_and_kept(cast: Cast, day: Day) -> None:
    with scope.within(cast.organization.id):
        report = SessionReport.objects.get()
    where = path(cast, f"/reports/{report.id}/void")
    assert sent_by(cast.clinician, day, where, {"reason": " "}).status_code == 400
    assert sent_by(cast.desk, day, where, {"reason": "wrong"}).status_code == 403
    answer = sent_by(cast.clinician, day, where, {"reason": "somebody else wrote"})
    assert answer.status_code == 302
    body = page(cast.clinician, cast, day)
    assert "does not count" in body
    assert "somebody else wrote" in body


def test_older_texts_are_pages_further_and_none_is_lost(cast: Cast, day: Day) -> None:
    for count in range(25):
        day.now += timedelta(minutes=2)
        day.text(NUMBER, SENDING, f"done {count % 5}, session {count:03d}")
    where, shown = path(cast), ""
    while where:
        body = seen_by(cast.clinician, day, where).content.decode()
        shown += body
        older = re.search(r"\?before=[^#\"]+", body)
        where = path(cast, older[0].replace("&amp;", "&")) if older else ""
    assert "First text" in shown
    # A reply and its answer bear the same moment: a page may end between them.
    assert all(shown.count(f"{count:03d}</bdi>") == 1 for count in range(25))


@pytest.mark.parametrize("bad", ["yesterday", "2026-03-02T10:00", "2026-03-02T10:00Z"])
def test_a_place_that_is_none_is_refused(cast: Cast, day: Day, bad: str) -> None:
    assert seen_by(cast.clinician, day, path(cast, f"?before={bad}")).status_code == 400


def test_a_decision_is_told_on_the_chart_and_in_the_list(cast: Cast, day: Day) -> None:
    data = {"kind": "progress", "up": "times:6", "note": "doing well"}
    answer = sent_by(
        cast.clinician, day, path(cast, "/decide"), data | {"back": "client"}
    )
    assert answer.url == path(cast)
    body = page(cast.clinician, cast, day)
    assert "Decision: progress: doing well" in body
    assert "Version 2" in body


def test_what_is_typed_never_stands_in_an_address(cast: Cast, day: Day) -> None:
    body = page(cast.clinician, cast, day)
    assert 'hx-post="' + path(cast, "/texts/preview") in body
    assert seen_by(cast.clinician, day, path(cast, "/texts/preview")).status_code == 405
    with scope.within(cast.organization.id):
        assert not Outbound.objects.filter(kind="manual").exists()
