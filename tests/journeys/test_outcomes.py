"""Outcome measures over HTTP: asked by text, answered on a page, read in words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.conf import settings as django
from django.test import Client as Browser

from clinic import scope
from clinic.models import Client
from programs.models import Outcome, OutcomeAsk
from reminders import alerting, enrolling
from reminders.models import Outbound
from tests.browsing import page_of, signed_in
from tests.cast import NOW, NUMBER, OTHER_NUMBER, SENDING, Cast, prescribe
from tests.forms import fill, send
from tests.journeys.day import TOKEN, Day

LINK = re.compile(r"https?://\S+/q/\S+")


@pytest.fixture(autouse=True)
def _token(settings: Any) -> None:
    settings.TWILIO_AUTH_TOKEN = TOKEN


@pytest.fixture
def day(cast: Cast) -> Day:
    """The client answered the first text."""
    day = Day(NOW)
    prescribe(cast.client, cast.clinician)
    day.work()
    day.text(NUMBER, SENDING, "ok")
    return day


@contextmanager
def at(day: Day) -> Iterator[None]:
    with time_machine.travel(day.now, tick=False):
        yield


def words(response: Any) -> str:
    return " ".join(page_of(response).split())


def url(cast: Cast, measure: str) -> str:
    return f"/clients/{cast.client.id}/outcomes/{measure}"


def link_of(cast: Cast, day: Day, measure: str) -> str:
    """Ask by text; the path of the link that arrived on the client's phone."""
    with at(day):
        clinician = signed_in(cast.clinician)
        page = clinician.get(url(cast, measure))
        answer = send(clinician, page, with_field="/ask")
        assert answer.status_code == 200, words(answer)
    day.work()
    found = LINK.findall(" ".join(day.phones.to(NUMBER)))[-1]
    assert found.startswith(django.PUBLIC_URL)
    return str(found.removeprefix(django.PUBLIC_URL))


def pass_days(day: Day, days: int) -> None:
    """Time passes; the client writes, so that nobody takes them for silent."""
    day.now += timedelta(days=days)
    day.text(NUMBER, SENDING, "done, 3, back")


def opened(day: Day, path: str, **fields: Any) -> Any:
    """The client's phone: no session, no cookie; with fields the page is sent."""
    with at(day):
        browser = Browser(enforce_csrf_checks=True)
        return browser.post(path, fields) if fields else browser.get(path)


def test_asked_by_text_answered_on_the_page_and_read_in_words(
    cast: Cast, day: Day
) -> None:
    path = link_of(cast, day, "rmdq")
    (text,) = [body for body in day.phones.to(NUMBER) if path in body]
    assert len(text) <= 160
    assert "pain" not in text.lower()

    page = opened(day, path)
    shown = words(page)
    assert page.status_code == 200
    assert "I stay at home most of the time because of my back." in shown
    assert "911" in shown
    assert "Ines" not in shown
    assert "<script" not in shown
    assert page["Cache-Control"] == "no-store"
    assert page["Referrer-Policy"] == "no-referrer"
    assert page["X-Robots-Tag"] == "noindex, nofollow"
    assert not page.cookies

    first = opened(day, path, ticked=list(range(1, 15)))
    assert "Your answers have reached the clinic" in words(first)

    pass_days(day, 28)
    later = opened(day, link_of(cast, day, "rmdq"), ticked=list(range(1, 10)))
    assert later.status_code == 200

    with at(day):
        clinician = signed_in(cast.clinician)
        for where in (f"/clients/{cast.client.id}", url(cast, "rmdq")):
            seen = words(clinician.get(where))
            assert "9 of 24" in seen
            assert (
                "From 14 to 9 (-5, -36 %): reliably better, more than error alone"
                " (5 points, the error at starts from 4 to 20; Stratford 1996). Enough"
                " to matter (5 points or 30 %; Ostelo 2008)."
            ) in seen
            assert "Mar 2: 14, Mar 30: 9" in seen
        assert "the client, by page" in words(clinician.get(url(cast, "rmdq")))


def test_what_is_missing_is_said_and_the_page_stays_open(cast: Cast, day: Day) -> None:
    path = link_of(cast, day, "rmdq")
    refused = opened(day, path, send="")
    assert refused.status_code == 400
    assert "nothing has been sent" in words(refused)
    none = opened(day, path, none="on")
    assert none.status_code == 200
    with scope.within(cast.organization.id):
        assert Outcome.objects.get().score == 0


def test_a_refused_page_keeps_what_was_chosen(cast: Cast, day: Day) -> None:
    path = link_of(cast, day, "rmdq")
    refused = opened(day, path, ticked=["2"], none="on")
    assert refused.status_code == 400
    assert re.search(r'value="2" checked', words(refused))


def test_it_is_answered_once_then_closed(cast: Cast, day: Day) -> None:
    path = link_of(cast, day, "nprs")
    assert opened(day, path).status_code == 200  # a preview of the link closes nothing
    assert opened(day, path, pain="6").status_code == 200
    again = opened(day, path, pain="2")
    assert again.status_code == 410
    assert "this page is closed" in words(again)
    assert opened(day, path).status_code == 410
    with scope.within(cast.organization.id):
        assert [row.score for row in Outcome.objects.all()] == [6.0]


def test_it_closes_after_seven_days_and_by_a_newer_one(cast: Cast, day: Day) -> None:
    first = link_of(cast, day, "grc")
    second = link_of(cast, day, "grc")
    assert opened(day, first).status_code == 410
    assert opened(day, second).status_code == 200
    day.now += timedelta(days=8)
    late = opened(day, second, change="3")
    assert late.status_code == 410
    assert "its time has passed" in words(late)


def test_it_closes_when_the_client_ends_the_texts(cast: Cast, day: Day) -> None:
    path = link_of(cast, day, "grc")
    day.text(NUMBER, SENDING, "STOP")
    assert opened(day, path).status_code == 410
    with at(day):
        clinician = signed_in(cast.clinician)
        refused = clinician.post(f"{url(cast, 'grc')}/ask")
    assert refused.status_code == 409


def test_it_closes_on_a_phone_that_is_no_longer_the_clients(
    cast: Cast, day: Day
) -> None:
    path = link_of(cast, day, "grc")
    with scope.within(cast.organization.id):
        cast.client.refresh_from_db()
        enrolling.change_number(
            cast.client, OTHER_NUMBER, by=cast.clinician, now=day.now
        )
    day.work()
    day.text(OTHER_NUMBER, SENDING, "ok")
    with scope.within(cast.organization.id):
        cast.client.refresh_from_db()
        assert cast.client.monitoring == "active"
    late = opened(day, path, change="3")
    assert late.status_code == 410


def test_nothing_of_the_link_rests_in_the_database(cast: Cast, day: Day) -> None:
    path = link_of(cast, day, "nprs")
    token = path.removeprefix("/q/")
    with scope.within(cast.organization.id):
        row = Outbound.objects.get(kind="questions")
        assert "(link)" in row.body
        assert token not in row.body
        assert token not in str(list(OutcomeAsk.objects.values()))
    with at(day):
        thread = words(signed_in(cast.clinician).get(f"/clients/{cast.client.id}"))
    assert token not in thread


def test_an_unknown_link_shows_nothing_and_is_throttled_by_source(
    cast: Cast, day: Day
) -> None:
    path = link_of(cast, day, "nprs")
    wrong = opened(day, "/q/" + "A" * 22)
    assert wrong.status_code == 404
    shown = words(wrong)
    assert "Elm Row" not in shown
    for language in ("nothing to answer here", "no hay nada", "rien à répondre"):
        assert language in shown
    found = {opened(day, f"/q/{'B' * 20}{n:02d}").status_code for n in range(40)}
    assert found == {404, 429}
    assert opened(day, path).status_code == 200  # not shut out by a neighbor's guesses


def test_one_page_is_not_opened_without_end(cast: Cast, day: Day) -> None:
    path = link_of(cast, day, "nprs")
    found = [opened(day, path).status_code for _ in range(45)]
    assert found[39:] == [200] + [429] * 5


@pytest.mark.parametrize(
    ("language", "said", "scale"),
    [
        ("es", "En las últimas 24 horas", "el peor imaginable"),
        ("fr", "Ces dernières 24 heures", "la pire imaginable"),
    ],
)
def test_the_page_speaks_the_clients_language(
    cast: Cast, day: Day, language: str, said: str, scale: str
) -> None:
    with scope.within(cast.organization.id):
        Client.objects.filter(pk=cast.client.pk).update(language=language)
    shown = words(opened(day, link_of(cast, day, "nprs")))
    assert f'<html lang="{language}">' in shown
    assert said in shown
    assert scale in shown
    assert "911" in shown
    with at(day):
        page = words(signed_in(cast.clinician).get(url(cast, "rmdq")))
    assert "may not be shown here in the client's language" in page
    assert "I stay at home" not in page


def test_own_activities_are_typed_once_and_rated_again_on_the_page(
    cast: Cast, day: Day
) -> None:
    with at(day):
        clinician = signed_in(cast.clinician)
        page = fill(
            clinician,
            url(cast, "psfs"),
            with_field="name_1",
            name_1="Climbing stairs",
            rating_1="2",
            name_2="Socks",
            rating_2="3",
            name_3="Driving",
            rating_3="4",
        )
    assert "3 of 10" in words(page)
    pass_days(day, 14)
    path = link_of(cast, day, "psfs")
    shown = words(opened(day, path))
    assert "Climbing stairs" in shown
    assert "checked" not in shown  # no earlier rating
    assert opened(day, path, rating_1="5", rating_3="6").status_code == 200
    with at(day):
        seen = words(signed_in(cast.clinician).get(url(cast, "psfs")))
    assert "5.5 of 10" in seen
    assert "1 not answered" in seen
    assert "From 3 to 5.5 (+2.5" in seen
    assert "2 points of the mean of 2 activities; Stratford 1995" in seen


def test_worse_twice_by_the_clients_own_rating_stands_on_the_list(
    cast: Cast, day: Day
) -> None:
    opened(day, link_of(cast, day, "grc"), change="-2")
    with scope.within(cast.organization.id):
        assert alerting.open_chain(cast.client) is None
    pass_days(day, 1)
    opened(day, link_of(cast, day, "grc"), change="-3")
    with scope.within(cast.organization.id):
        alert = alerting.open_chain(cast.client)
        assert alert is not None
        assert alert.urgency == "review"
    with at(day):
        shown = words(signed_in(cast.clinician).get("/triage"))
    assert "Twice in a row the client rated the change since the start" in shown


@pytest.mark.parametrize(
    ("measure", "typed", "said"),
    [
        ("odi", {"points": "16", "answered": "9"}, "35.6 %"),
        ("start_back", {"total": "5", "distress": "4"}, "high risk group"),
        ("rmdq", {"total": "14"}, "14 of 24"),
        ("nprs", {"pain": "3,5"}, "3.5 of 10"),
        ("grc", {"change": "+3"}, "a clear change for the better"),
    ],
)
def test_totals_are_typed_and_checked(
    cast: Cast, day: Day, measure: str, typed: dict[str, str], said: str
) -> None:
    field = next(iter(typed))
    with at(day):
        clinician = signed_in(cast.clinician)
        wrong = fill(clinician, url(cast, measure), with_field="day", **{field: "99"})
        assert wrong.status_code == 400
        assert 'value="99"' in words(wrong)
        page = send(clinician, wrong, with_field="day", **typed)
    assert page.status_code == 200, words(page)
    assert said in words(page)


def test_a_wrong_answer_is_taken_out_with_a_reason(cast: Cast, day: Day) -> None:
    with at(day):
        clinician = signed_in(cast.clinician)
        page = fill(clinician, url(cast, "nprs"), with_field="pain", pain="9")
        page = send(clinician, page, with_field="/void", reason="Another person's")
        assert "does not count" in words(page)
        assert "Nothing counts at present" in words(page)


def test_a_double_click_is_one_answer(cast: Cast, day: Day) -> None:
    with at(day):
        clinician = signed_in(cast.clinician)
        page = clinician.get(url(cast, "nprs"))
        for _ in range(2):
            send(clinician, page, with_field="pain", pain="5")
    with scope.within(cast.organization.id):
        assert Outcome.objects.count() == 1


def test_the_day_of_an_answer_is_the_clients(cast: Cast, day: Day) -> None:
    with at(day):
        clinician = signed_in(cast.clinician)
        page = fill(
            clinician, url(cast, "nprs"), with_field="pain", pain="5", day="2026-03-01"
        )
        assert "Mar 1, 2026" in words(page)
        late = fill(
            clinician, url(cast, "nprs"), with_field="pain", pain="5", day="2026-03-03"
        )
        assert "cannot lie in the future" in words(late)


def test_who_may_read_and_write(cast: Cast, day: Day) -> None:
    with at(day):
        auditor = signed_in(cast.auditor)
        assert auditor.get(url(cast, "nprs")).status_code == 200
        assert "Type answers" not in page_of(auditor.get(url(cast, "nprs")))
        assert auditor.post(url(cast, "nprs"), {"pain": "5"}).status_code in (403, 404)
        assert auditor.post(f"{url(cast, 'nprs')}/ask").status_code in (403, 404)
        desk = signed_in(cast.desk)
        assert desk.get(url(cast, "nprs")).status_code == 403
        assert "Outcome measures" not in page_of(desk.get(f"/clients/{cast.client.id}"))
        outsider = signed_in(cast.outsider)
        assert outsider.get(url(cast, "nprs")).status_code == 404
        clinician = signed_in(cast.clinician)
        assert clinician.get(url(cast, "sf36")).status_code == 404
