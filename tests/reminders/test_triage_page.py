"""The morning list: what it shows, to whom, and acting on it in place."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext

from clinic import scope
from clinic.models import Staff
from programs import prescribing
from programs.models import Decision
from reminders import alerting, triage
from reminders.models import Alert
from tests.cast import NOW, NUMBER, OTHER_NUMBER, SENDING, Cast, enroll, prescribe
from tests.journeys.day import TOKEN, Day

WORSE = "worse today 7, now down to my calf and foot tingles"
HTMX = {"HX-Request": "true"}


@pytest.fixture(autouse=True)
def _token(settings: Any) -> None:
    settings.TWILIO_AUTH_TOKEN = TOKEN


@pytest.fixture
def day(cast: Cast) -> Day:
    """Ines has answered the first text and works on her program."""
    prescribe(cast.client, cast.clinician)
    day = Day(NOW)
    day.work()
    day.text(NUMBER, SENDING, "ok")
    return day.forward(hours=4)


def seen_by(staff: Staff, day: Day, path: str = "/triage", **more: Any) -> Any:
    browser = Browser()
    browser.force_login(staff)
    with time_machine.travel(day.now, tick=False):
        return browser.get(path, **more)


def sent_by(staff: Staff, day: Day, path: str, data: Any, **more: Any) -> Any:
    browser = Browser()
    browser.force_login(staff)
    with time_machine.travel(day.now, tick=False):
        return browser.post(path, data, **more)


def chain(cast: Cast) -> Alert:
    with scope.within(cast.organization.id):
        alert = alerting.open_chain(cast.client)
    assert alert is not None
    return alert


def test_an_empty_list_says_so_in_words(cast: Cast, day: Day) -> None:
    body = seen_by(cast.clinician, day).content.decode()
    assert "Nobody is waiting" in body


def test_a_worse_reply_is_listed_with_reason_and_marked_words(
    cast: Cast, day: Day
) -> None:
    day.text(NUMBER, SENDING, WORSE)
    body = seen_by(cast.clinician, day).content.decode()
    assert "Ines Calder" in body
    assert "Same day" in body and "act by 16:00" in body
    assert "Symptoms reach farther, from the thigh to the foot" in body
    assert re.search(r'<mark title="[^"]*pain 7[^"]*">', body)
    assert re.search(r"<mark[^>]*>[^<]*calf", body)
    assert 'class="reach reach-small"' in body


def test_what_a_client_writes_is_text_and_never_markup(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, "worse 8 <script>alert(1)</script> foot <b>numb</b>")
    body = seen_by(cast.clinician, day).content.decode()
    assert "<script>alert" not in body
    assert "&lt;" in body


def test_one_s_time_to_act_runs_out(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, WORSE)
    day.now += timedelta(hours=2, minutes=1)
    body = seen_by(cast.clinician, day).content.decode()
    assert "overdue since 16:00" in body
    assert "1 overdue" in body


def test_nobody_of_another_site_or_organization_is_listed(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, WORSE)
    for stranger in (cast.far_clinician, cast.outsider):
        assert "Ines" not in seen_by(stranger, day).content.decode()


def test_the_front_desk_has_no_morning_list(cast: Cast, day: Day) -> None:
    assert seen_by(cast.desk, day).status_code == 403


def test_an_auditor_reads_and_finds_nothing_to_press(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, WORSE)
    body = seen_by(cast.auditor, day).content.decode()
    assert "Ines Calder" in body
    assert "Acknowledge" not in body and "Decide" not in body


def test_taking_an_alert_names_the_person(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, WORSE)
    path = f"/alerts/{chain(cast).id}/acknowledge"
    answer = sent_by(cast.clinician, day, path, {})
    assert (answer.status_code, answer.url) == (302, "/triage")
    assert (
        "Acknowledged by Clinician, 14:00"
        in seen_by(cast.clinician, day).content.decode()
    )


def test_taking_an_alert_in_place_answers_with_the_card(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, WORSE)
    path = f"/alerts/{chain(cast).id}/acknowledge"
    body = sent_by(cast.clinician, day, path, {}, headers=HTMX).content.decode()
    assert body.lstrip().startswith("<li")
    assert "Acknowledged by Clinician" in body


@pytest.mark.parametrize("who", ["auditor", "owner", "desk", "far_clinician"])
def test_only_care_at_the_site_takes_an_alert(cast: Cast, day: Day, who: str) -> None:
    day.text(NUMBER, SENDING, WORSE)
    path = f"/alerts/{chain(cast).id}/acknowledge"
    answer = sent_by(getattr(cast, who), day, path, {})
    assert answer.status_code in (403, 404)
    assert chain(cast).acknowledged_by is None


def test_the_form_offers_steps_with_the_last_added_first(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, WORSE)
    path = f"/clients/{cast.client.id}/decide"
    body = seen_by(cast.clinician, day, path).content.decode()
    assert "Leave out Press-up" in body
    assert "(added last)" in body
    assert 'value="lower:press_up"' in body


def test_a_reduction_is_carried_by_the_next_reminder(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, WORSE)
    data = {
        "kind": "reduce",
        "down": "lower:prone_on_elbows",
        "note": "halve the hold",
        "alert": str(chain(cast).id),
    }
    path = f"/clients/{cast.client.id}/decide"
    answer = sent_by(cast.clinician, day, path, data)
    assert answer.status_code == 302
    assert "Ines" not in seen_by(cast.clinician, day).content.decode()
    day.forward(hours=3)
    assert "NEW dose" in day.phones.to(NUMBER)[-1]
    assert "15 s x3" in day.phones.to(NUMBER)[-1]


def test_deciding_in_place_replaces_the_card(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, WORSE)
    alert = chain(cast)
    data = {"kind": "hold", "note": "seen by telephone", "alert": str(alert.id)}
    path = f"/clients/{cast.client.id}/decide"
    answer = sent_by(cast.clinician, day, path, data, headers=HTMX)
    assert answer.headers["HX-Retarget"] == f"#alert-{alert.id}"
    assert "Decided: Keep the program as it is" in answer.content.decode()


def test_a_reduction_without_a_step_decides_nothing(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, WORSE)
    path = f"/clients/{cast.client.id}/decide"
    answer = sent_by(cast.clinician, day, path, {"kind": "reduce"})
    assert answer.status_code == 400
    assert "Choose one step" in answer.content.decode()
    with scope.within(cast.organization.id):
        assert not Decision.objects.exists()


def test_an_alert_resolved_meanwhile_is_not_decided_twice(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, WORSE)
    data = {"kind": "hold", "note": "", "alert": str(chain(cast).id)}
    path = f"/clients/{cast.client.id}/decide"
    sent_by(cast.clinician, day, path, data)
    answer = sent_by(cast.lead, day, path, data)
    assert answer.status_code == 409
    with scope.within(cast.organization.id):
        assert Decision.objects.count() == 1


def test_a_held_program_is_said_to_be_held(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, "numb between my legs and cant pee")
    body = seen_by(cast.clinician, day).content.decode()
    assert "Emergency" in body
    assert "Program held" in body
    assert "possible warning sign" in body


def test_an_opt_out_shows_as_no_longer_monitored(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, "STOP")
    body = seen_by(cast.clinician, day).content.decode()
    assert "no longer monitored" in body


def test_asking_again_without_news_answers_nothing(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, WORSE)
    body = seen_by(cast.clinician, day).content.decode()
    found = re.search(r'"seen": "(\w+)"', body)
    assert found is not None
    path = f"/triage?seen={found[1]}"
    assert seen_by(cast.clinician, day, path, headers=HTMX).status_code == 204
    day.text(NUMBER, SENDING, "numb between my legs and cant pee")
    fresh = seen_by(cast.clinician, day, path, headers=HTMX)
    assert fresh.status_code == 200
    assert "<html" not in fresh.content.decode()


def test_a_service_that_is_behind_says_since_when(cast: Cast, day: Day) -> None:
    day.now += timedelta(hours=3)  # reminders fell due and nobody sent them
    body = seen_by(cast.clinician, day).content.decode()
    assert re.search(r"Behind since \d\d:\d\d", body)


def test_a_site_can_be_chosen_among_one_s_own(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, WORSE)
    far = seen_by(cast.owner, day, f"/triage?site={cast.far_site.id}")
    assert "Ines" not in far.content.decode()
    near = seen_by(cast.owner, day, f"/triage?site={cast.site.id}")
    assert "Ines" in near.content.decode()
    for foreign in (cast.other_site.id, "nonsense"):
        answer = seen_by(cast.owner, day, f"/triage?site={foreign}")
        assert answer.status_code == 404


def queries_of(browser: Browser, day: Day) -> int:
    with (
        time_machine.travel(day.now, tick=False),
        CaptureQueriesContext(connection) as found,
    ):
        assert browser.get("/triage").status_code == 200
    return len(found)


def test_the_list_costs_the_same_queries_for_one_row_and_for_two(
    cast: Cast, day: Day
) -> None:
    browser = Browser()
    browser.force_login(cast.clinician)
    day.text(NUMBER, SENDING, WORSE)
    for_one = queries_of(browser, day)
    with scope.within(cast.organization.id):
        other = enroll(cast.site, cast.clinician, name="Bo Ferris", number=OTHER_NUMBER)
    prescribe(other, cast.clinician)
    day.work()
    day.text(OTHER_NUMBER, SENDING, WORSE)
    with scope.within(cast.organization.id):
        assert len(triage.rows(cast.clinician, day.now)) == 2
    assert queries_of(browser, day) == for_one


def test_an_unknown_alert_of_another_client_is_not_found(cast: Cast, day: Day) -> None:
    day.text(NUMBER, SENDING, WORSE)
    with scope.within(cast.organization.id):
        other = enroll(cast.site, cast.clinician, name="Bo Ferris", number=OTHER_NUMBER)
        assert prescribing.running(other) is None
    data = {"kind": "call", "alert": str(chain(cast).id)}
    answer = sent_by(cast.clinician, day, f"/clients/{other.id}/decide", data)
    assert answer.status_code == 404
