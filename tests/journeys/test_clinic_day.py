"""A clinic's day over HTTP: every step on the page where a person takes it.

The front desk enrolls, the clinician prescribes, the client answers texts through
the gateway's webhook, triage shows why, the clinician decides, and the next reminder
carries the decision.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
import time_machine
from django.test import Client as Browser

from clinic import audit, scope
from clinic.models import Client
from programs import publishing
from programs.plans import PRECAUTIONS
from tests.cast import NOW, PASSWORD, SENDING, Cast
from tests.forms import fill, send
from tests.journeys.day import TOKEN, Day

PHONE = "+12025550155"
START = {
    "pain": "5",
    "directional_preference": "extension",
    "reach_right": "thigh",
    **{f"asked_{name}": "no" for name in PRECAUTIONS},
}


@pytest.fixture(autouse=True)
def _token(settings: Any) -> None:
    settings.TWILIO_AUTH_TOKEN = TOKEN


@pytest.fixture
def day(cast: Cast) -> Day:
    return Day(NOW)


@contextmanager
def at(day: Day) -> Iterator[None]:
    """The pages see the day's own time."""
    with time_machine.travel(day.now, tick=False):
        yield


def signed_in(email: str) -> Browser:
    browser = Browser()
    data = {"login": email, "password": PASSWORD}
    assert browser.post("/accounts/login/", data).status_code == 302
    return browser


def words(response: Any) -> str:
    return " ".join(response.content.decode().split())


def enrolled(cast: Cast, day: Day) -> Client:
    with at(day):
        desk = signed_in(cast.desk.email)
        fill(
            desk,
            "/enroll",
            with_field="consent_wording",
            name="Wen Halloran",
            number="(202) 555-0155",
            clinician=str(cast.clinician.id),
            do="enroll",
        )
    with scope.within(cast.organization.id):
        return max(Client.objects.all(), key=lambda client: client.id)


def prescribed(cast: Cast, day: Day, clinician: Browser, client: Client) -> Any:
    with scope.within(cast.organization.id):
        offers = publishing.add_starters(cast.organization, by=cast.lead, now=NOW)
        chosen = next(v for v in offers if "up on the hands" in v.template.name)
    url = f"/clients/{client.id}/program/new"
    with at(day):
        page = fill(
            clinician, url, with_field="template", template=str(chosen.id), do="fill"
        )
        return send(clinician, page, with_field="times_per_day", do="save", **START)


def test_a_whole_day(cast: Cast, day: Day) -> None:
    client = enrolled(cast, day)
    clinician = None
    with at(day):
        clinician = signed_in(cast.clinician.email)
    answer = prescribed(cast, day, clinician, client)
    assert answer.status_code == 200, words(answer)
    day.work()
    assert "STOP" in day.phones.to(PHONE)[-1]
    day.text(PHONE, SENDING, "OK")

    day.forward(hours=4)
    assert "Done or skipped?" in day.phones.to(PHONE)[-1]
    day.text(PHONE, SENDING, "done, pain 3/10, leg better")
    with at(day):
        page = words(clinician.get(f"/clients/{client.id}"))
        assert "done · pain 3 · leg better" in page
        assert "Wen Halloran" not in words(clinician.get("/triage"))

    day.forward(hours=3)
    day.text(PHONE, SENDING, "worse today 7, now down to my calf and foot tingles")
    with at(day):
        triage = words(clinician.get("/triage"))
        assert "Wen Halloran" in triage
        assert "Same day" in triage
        assert "Symptoms reach farther" in triage
        assert "<mark" in triage

    day.forward(hours=3)
    assert "Done or skipped?" not in day.phones.to(PHONE)[-1]

    with at(day):
        send(clinician, clinician.get("/triage"), with_field="/acknowledge")
        page = clinician.get(f"/clients/{client.id}/decide")
        step = page.context["form"].fields["down"].choices[0][0]
        done = send(
            clinician,
            page,
            with_field="note",
            kind="reduce",
            down=step,
            note="rest the press-up, farther down the leg",
        )
        assert done.status_code == 200, words(done)
        assert "Wen Halloran" not in words(clinician.get("/triage"))

    day.forward(hours=15)
    reminders = [text for text in day.phones.to(PHONE) if "NEW dose" in text]
    assert len(reminders) == 1
    with scope.within(cast.organization.id):
        assert audit.verify(cast.organization)[1] is None


def test_the_front_desk_sees_no_symptoms(cast: Cast, day: Day) -> None:
    client = enrolled(cast, day)
    day.work()
    day.text(PHONE, SENDING, "OK")
    day.text(PHONE, SENDING, "numb between my legs and cant pee")
    with at(day):
        desk = signed_in(cast.desk.email)
        page = words(desk.get(f"/clients/{client.id}"))
        assert desk.get("/triage").status_code == 403
    assert "Wen Halloran" in page
    assert re.findall(r"\b(numb|pee|bladder|saddle|held)\b", page) == []


def test_somebody_of_another_site_or_clinic_finds_nothing(cast: Cast, day: Day) -> None:
    client = enrolled(cast, day)
    for person in (cast.far_clinician, cast.outsider):
        with at(day):
            browser = signed_in(person.email)
            for path in ("", "/program", "/decide", "/handout"):
                assert browser.get(f"/clients/{client.id}{path}").status_code == 404
            assert "Wen Halloran" not in words(browser.get("/triage"))
            assert "Wen Halloran" not in words(browser.get("/clients"))
