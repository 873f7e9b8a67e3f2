"""An emergency at night and a chain put away, over HTTP, with the clock moved."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.core import mail
from django.test import Client as Browser

from clinic import audit, scope
from clinic.models import AuditEntry, Staff
from reminders import alerting
from reminders.models import Alert
from tests.browsing import page_of, signed_in
from tests.cast import NOW, NUMBER, PASSWORD, SENDING, Cast, prescribe
from tests.forms import fill, send
from tests.journeys.day import TOKEN, Day

FIRST, SECOND = "+12025550191", "+12025550192"
EMERGENCY = "numb between my legs and cant pee"
HEALTH = re.compile(r"numb|leg|pee|pain|spine|bladder|Ines|Calder|\+1")


@pytest.fixture(autouse=True)
def _token(settings: Any) -> None:
    settings.TWILIO_AUTH_TOKEN = TOKEN


@pytest.fixture
def day(cast: Cast) -> Day:
    """Ines works on her program; it is Monday noon."""
    prescribe(cast.client, cast.clinician)
    day = Day(NOW)
    day.work()
    day.text(NUMBER, SENDING, "ok")
    return day.forward(hours=2)


def chain(cast: Cast) -> Alert:
    with scope.within(cast.organization.id):
        alert = alerting.open_chain(cast.client)
    assert alert is not None
    return alert


def link_in(words: str) -> str:
    found = re.search(r"https?://[^/\s]+(/p/\w+)", words)
    assert found, words
    return found[1]


def mails_to(staff: Staff) -> list[Any]:
    return [one for one in mail.outbox if one.to == [staff.email]]


def trail(cast: Cast, alert: Alert) -> list[tuple[str, str]]:
    with scope.within(cast.organization.id):
        assert audit.verify(cast.organization)[1] is None
        lines = AuditEntry.objects.filter(subject_id=alert.id).order_by("sequence")
        return [(line.action, line.actor) for line in lines]


def test_nobody_answers_the_next_person_acknowledges_by_the_link(
    cast: Cast, day: Day
) -> None:
    day.text(NUMBER, SENDING, EMERGENCY)
    assert len(day.phones.to(FIRST)) == len(mails_to(cast.clinician)) == 1
    assert day.phones.to(SECOND) == mails_to(cast.lead) == []
    day.forward(minutes=10)
    assert len(day.phones.to(SECOND)) == len(mails_to(cast.lead)) == 1

    [text], [letter] = day.phones.to(SECOND), mails_to(cast.lead)
    assert not HEALTH.search(text)
    assert not HEALTH.search(letter.subject + letter.body)
    assert link_in(text) == link_in(letter.body)

    with time_machine.travel(day.now, tick=False):
        browser = Browser()
        shut = browser.get(link_in(text), follow=True)
        assert "Ines" not in page_of(shut)
        assert chain(cast).state == "open"
        page = send(
            browser, shut, with_field="login", login=cast.lead.email, password=PASSWORD
        )
        assert "This alert needs you" in page_of(page)
        assert "Ines Calder" in page_of(page)
        assert chain(cast).state == "open"  # a preview that opens links takes nothing
        send(browser, page, with_field="acknowledge")
        assert "Somebody has this alert" in page_of(browser.get(link_in(text)))

    pages = len(day.phones.to(FIRST)) + len(day.phones.to(SECOND)) + len(mail.outbox)
    day.forward(minutes=60)
    assert pages == (
        len(day.phones.to(FIRST)) + len(day.phones.to(SECOND)) + len(mail.outbox)
    )
    assert trail(cast, chain(cast)) == [
        ("alert.opened", f"client:{cast.client.id}"),
        ("alert.paged", "service"),
        ("alert.paged", "service"),
        ("alert.acknowledged", f"staff:{cast.lead.id}"),
    ]


def test_a_link_shows_its_alert_to_nobody_of_another_place(
    cast: Cast, day: Day
) -> None:
    day.text(NUMBER, SENDING, EMERGENCY)
    path = link_in(day.phones.to(FIRST)[0])
    for stranger in (cast.far_clinician, cast.outsider):
        assert signed_in(stranger).get(path).status_code == 404
    assert signed_in(cast.desk).get(path).status_code == 403
    assert Browser().get("/p/2222222222").status_code == 302  # as for one that exists
    assert signed_in(cast.lead).get("/p/2222222222").status_code == 404


def test_an_auditor_reads_the_page_and_cannot_take_the_alert(
    cast: Cast, day: Day
) -> None:
    day.text(NUMBER, SENDING, EMERGENCY)
    page = page_of(signed_in(cast.auditor).get(link_in(day.phones.to(FIRST)[0])))
    assert "Ines Calder" in page
    assert "Acknowledge" not in page.replace("Acknowledge it", "")


def test_out_of_hours_the_client_is_told_when_somebody_reads(
    cast: Cast, day: Day
) -> None:
    day.forward(hours=10)  # Monday 22:00, closed since 18:00
    day.text(NUMBER, SENDING, "can I go swimming on this program?")
    assert "We are closed now" in day.phones.to(NUMBER)[-1]
    assert "Tue 08:00" in day.phones.to(NUMBER)[-1]
    day.text(NUMBER, SENDING, "worse 7, into my calf now")
    assert "We are closed" in day.phones.to(NUMBER)[-1]


def test_a_chain_put_away_comes_back_on_its_day(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, "can I go swimming on this program?")
    browser, alert = signed_in(cast.clinician), chain(cast)
    with time_machine.travel(day.now, tick=False):
        fill(
            browser,
            f"/alerts/{alert.id}/snooze",
            with_field="until",
            until="2026-03-04",
            reason="Asked her doctor first",
        )
        page = page_of(browser.get("/triage"))
        assert f'id="alert-{alert.id}"' not in page
        assert "Put away until a day" in page
        assert "Until Wednesday, March 4, by Clinician" in page
        assert "Asked her doctor first" in page
        own = page_of(browser.get(f"/clients/{cast.client.id}"))
        assert "Put away until Wednesday, March 4 by Clinician" in own
        assert "Asked her doctor first" in own
    day.forward(hours=24)
    with time_machine.travel(day.now, tick=False):
        assert f'id="alert-{alert.id}"' not in page_of(browser.get("/triage"))
    day.now = day.now.replace(day=4, hour=5, minute=1)  # just past midnight there
    day.work()
    with time_machine.travel(day.now, tick=False):
        page = page_of(browser.get("/triage"))
        assert f'id="alert-{alert.id}"' in page
        assert "Put away until a day" not in page
    assert ("alert.snoozed", f"staff:{cast.clinician.id}") in trail(cast, alert)
    assert trail(cast, alert)[-1] == ("alert.returned", "service")


def test_a_chain_put_away_comes_back_at_once_when_it_gets_worse(
    cast: Cast, day: Day
) -> None:
    day.text(NUMBER, SENDING, "can I go swimming on this program?")
    browser, alert = signed_in(cast.clinician), chain(cast)
    with time_machine.travel(day.now, tick=False):
        data = {"until": "2026-03-04", "reason": "Asked her doctor first"}
        assert browser.post(f"/alerts/{alert.id}/snooze", data).status_code == 302
    day.now += timedelta(hours=1)
    day.text(NUMBER, SENDING, "done, pain 3, back")
    assert chain(cast).snoozed_until is not None
    day.text(NUMBER, SENDING, "worse today 7, now down to my calf and foot tingles")
    back = chain(cast)
    assert (back.id, back.snoozed_until, back.state) == (alert.id, None, "open")
    with time_machine.travel(day.now, tick=False):
        assert f'id="alert-{alert.id}"' in page_of(browser.get("/triage"))


def test_a_chain_put_away_is_brought_back_by_a_press(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, "can I go swimming on this program?")
    browser, alert = signed_in(cast.clinician), chain(cast)
    with time_machine.travel(day.now, tick=False):
        data = {"until": "2026-03-04", "reason": "Later"}
        browser.post(f"/alerts/{alert.id}/snooze", data)
        page = send(browser, browser.get("/triage"), with_field=f"{alert.id}/return")
        assert f'id="alert-{alert.id}"' in page_of(page)


def test_an_emergency_offers_no_putting_away_and_refuses_it(
    cast: Cast, day: Day
) -> None:
    day.text(NUMBER, SENDING, EMERGENCY)
    browser, alert = signed_in(cast.clinician), chain(cast)
    with time_machine.travel(day.now, tick=False):
        assert "Put away" not in page_of(browser.get("/triage"))
        data = {"until": "2026-03-04", "reason": "Later"}
        answer = browser.post(f"/alerts/{alert.id}/snooze", data)
    assert answer.status_code == 409
    assert chain(cast).snoozed_until is None


@pytest.mark.parametrize("who", ["owner", "auditor", "desk"])
def test_only_care_puts_away(cast: Cast, day: Day, who: str) -> None:
    day.text(NUMBER, SENDING, "can I go swimming on this program?")
    path = f"/alerts/{chain(cast).id}/snooze"
    data = {"until": "2026-03-04", "reason": "Later"}
    assert signed_in(getattr(cast, who)).post(path, data).status_code == 403
