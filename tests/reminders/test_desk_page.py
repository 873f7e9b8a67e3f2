"""The front desk's tasks: words by code, no body of a text, closed once."""

from __future__ import annotations

import pytest

from clinic import scope
from reminders import desk
from reminders.models import DeskTask
from tests.browsing import page_of, signed_in
from tests.cast import NOW, Cast


def opened(cast: Cast, code: str, detail: str = "") -> DeskTask:
    with scope.within(cast.organization.id):
        client = None if code == "unknown_number" else cast.client
        return desk.open_task(code, now=NOW, client=client, detail=detail)


@pytest.mark.parametrize("code", sorted(desk.CODES))
def test_every_code_is_said_in_words(cast: Cast, code: str) -> None:
    opened(cast, code, detail="+12025550177")
    page = page_of(signed_in(cast.desk).get("/desk"))
    assert desk.CODES[code] in page
    assert ("Ines Calder" in page) == (code != "unknown_number")
    assert ("+12025550177" in page) == (code == "unknown_number")


def test_a_task_is_closed_once(cast: Cast) -> None:
    path = f"/desk/{opened(cast, 'call').id}/close"
    browser = signed_in(cast.desk)
    assert browser.post(path).status_code == 302
    assert "Nothing to do" in page_of(browser.get("/desk"))
    assert browser.post(path).status_code == 409


@pytest.mark.parametrize("code", ["wrong_number", "number_failed"])
def test_a_failed_number_leads_to_its_change(cast: Cast, code: str) -> None:
    opened(cast, code)
    page = page_of(signed_in(cast.desk).get("/desk"))
    assert f"/clients/{cast.client.id}/number" in page


@pytest.mark.parametrize("role", ["outsider", "far_clinician"])
def test_tasks_of_others_are_not_found(cast: Cast, role: str) -> None:
    task = opened(cast, "call")
    browser = signed_in(getattr(cast, role))
    assert "Ines Calder" not in page_of(browser.get("/desk"))
    assert browser.post(f"/desk/{task.id}/close").status_code == 404


def test_the_auditor_has_no_desk(cast: Cast) -> None:
    task = opened(cast, "call")
    browser = signed_in(cast.auditor)
    assert browser.get("/desk").status_code == 403
    assert browser.post(f"/desk/{task.id}/close").status_code == 403


def test_closing_is_posted_only(cast: Cast) -> None:
    task = opened(cast, "call")
    assert signed_in(cast.desk).get(f"/desk/{task.id}/close").status_code == 405
