"""The demo's phones: answer a text as a client would, and let time pass."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.test import Client as Browser

from clinic import clock, scope
from reminders import alerting, gateways
from reminders.gateways.phones import Phones
from reminders.models import Inbound, Outbound
from tests.cast import NUMBER, Cast, make_cast, prescribe

WORSE = "worse today 7, now down to my calf and foot tingles"


@pytest.fixture
def demo(db: None, settings: Any, tmp_path: Path, monkeypatch: Any) -> Cast:
    """A demo whose clock stands in a folder of its own."""
    settings.DEMO, settings.DATA_DIR = True, tmp_path
    monkeypatch.setattr(clock, "_forward", None)
    monkeypatch.setattr(gateways, "current", Phones)
    cast = make_cast(clock.now())
    prescribe(cast.client, cast.clinician, now=clock.now(), review_on=_soon())
    return cast


@pytest.fixture
def browser(demo: Cast) -> Browser:
    browser = Browser()
    browser.force_login(demo.clinician)
    return browser


def _soon() -> Any:
    return (clock.now() + timedelta(days=10)).date()


def texts(cast: Cast) -> list[str]:
    with scope.within(cast.organization.id):
        rows = Outbound.objects.filter(client=cast.client, sent_at__isnull=False)
        return [row.body for row in rows.order_by("sent_at", "id")]


def write(browser: Browser, cast: Cast, body: str) -> Any:
    return browser.post("/phones/answer", {"client": cast.client.id, "body": body})


@pytest.mark.parametrize("path", ["/phones", "/phones/answer", "/phones/clock"])
def test_outside_the_demo_there_are_no_phones(cast: Cast, path: str) -> None:
    assert Browser().get(path).status_code == 404
    browser = Browser()
    browser.force_login(cast.clinician)
    assert browser.post(path, {"by": "1d"}).status_code == 404
    assert "Phones" not in browser.get("/accounts/logout/").content.decode()


def test_a_phone_shows_the_number_and_what_came(browser: Browser, demo: Cast) -> None:
    browser.post("/phones/clock", {"by": "1d"})
    body = browser.get("/phones").content.decode()
    assert NUMBER in body
    assert "HELP" in body
    assert "Clinician" in body  # the phone on call


def test_an_answer_goes_the_real_way_in(browser: Browser, demo: Cast) -> None:
    browser.post("/phones/clock", {"by": "1d"})
    assert write(browser, demo, "ok").status_code == 302
    with scope.within(demo.organization.id):
        assert Inbound.objects.get().client == demo.client
    assert len(texts(demo)) == 2  # the first text, and the answer to "ok"


def test_a_worse_reply_is_on_the_morning_list_at_once(
    browser: Browser, demo: Cast
) -> None:
    browser.post("/phones/clock", {"by": "1d"})
    write(browser, demo, "ok")
    browser.post("/phones/clock", {"by": "next"})
    write(browser, demo, WORSE)
    body = browser.get("/triage").content.decode()
    assert "Ines Calder" in body
    assert "<mark" in body


def test_an_emergency_pages_the_phone_on_call(browser: Browser, demo: Cast) -> None:
    browser.post("/phones/clock", {"by": "1d"})
    write(browser, demo, "numb between my legs and cant pee")
    body = browser.get("/phones").content.decode()
    assert "EMERGENCY" in body.upper()
    assert "/p/" in body.split('class="phone staff"', 1)[1]


def test_stop_ends_the_texts_and_the_phone_stays(browser: Browser, demo: Cast) -> None:
    browser.post("/phones/clock", {"by": "1d"})
    write(browser, demo, "ok")
    write(browser, demo, "STOP")
    sent = len(texts(demo))
    browser.post("/phones/clock", {"by": "1d"})
    assert len(texts(demo)) == sent
    assert "no longer monitored" in browser.get("/triage").content.decode()


def test_time_passes_to_the_next_text(browser: Browser, demo: Cast) -> None:
    browser.post("/phones/clock", {"by": "1d"})
    write(browser, demo, "ok")
    before, count = clock.now(), len(texts(demo))
    answer = browser.post("/phones/clock", {"by": "next", "shown": demo.client.id})
    assert answer.url == f"/phones?client={demo.client.id}"
    assert clock.now() > before
    assert len(texts(demo)) > count
    with scope.within(demo.organization.id):
        assert alerting.open_chain(demo.client) is None


@pytest.mark.parametrize("by", ["", "-1h", "99d", "next year"])
def test_the_clock_takes_its_own_steps_only(
    browser: Browser, demo: Cast, by: str
) -> None:
    assert browser.post("/phones/clock", {"by": by}).status_code == 400


@pytest.mark.parametrize(
    ("client", "body", "status"),
    [
        ("nobody", "hi", 400),
        ("0197f000-0000-7000-8000-000000000000", "hi", 404),
        ("", "hi", 400),
    ],
)
def test_a_phone_that_is_not_there(
    browser: Browser, demo: Cast, client: str, body: str, status: int
) -> None:
    data = {"client": client, "body": body}
    assert browser.post("/phones/answer", data).status_code == status


def test_an_empty_text_is_not_sent(browser: Browser, demo: Cast) -> None:
    assert write(browser, demo, "   ").status_code == 400


@pytest.mark.parametrize("body", ["a\x00b", "👍" * 800, "x" * 10_000, "‮evil"])
def test_any_text_is_taken(browser: Browser, demo: Cast, body: str) -> None:
    browser.post("/phones/clock", {"by": "1d"})
    assert write(browser, demo, body).status_code == 302
    assert browser.get("/phones").status_code == 200
    assert browser.get(f"/clients/{demo.client.id}").status_code == 200
