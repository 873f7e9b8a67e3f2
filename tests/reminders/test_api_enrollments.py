"""API: enrolling with the first text, another number, and the end of the texts."""

from __future__ import annotations

from typing import Any

import pytest

from tests.api import Api, problem
from tests.cast import CONSENT, NUMBER, OTHER_NUMBER, SENDING, Cast
from tests.journeys.day import Day


@pytest.fixture
def desk(cast: Cast) -> Api:
    return Api(cast.desk)


def details(cast: Cast, **changes: Any) -> dict[str, Any]:
    values: dict[str, Any] = {
        "site": str(cast.site.id),
        "clinician": str(cast.clinician.id),
        "name": "Mara Quill",
        "number": "(202) 555-0166",
        "language": "es",
        "time_zone": "America/New_York",
        "consent_wording": CONSENT,
    }
    return values | changes


def test_enrolling_sends_the_first_text_in_the_clients_language(
    cast: Cast, day: Day, desk: Api
) -> None:
    made = desk.post("enrollments", details(cast))
    assert made.status_code == 201, made.content
    assert made.json()["monitoring"] == "pending"
    assert made.json()["number"] == "+12025550166"
    day.work()
    (text,) = day.phones.to("+12025550166")
    assert "STOP" in text
    assert "AYUDA" in text


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name", " "),
        ("number", "555-0143"),
        ("number", "+1202555014"),
        ("number", "+12025550143 ext. 4"),
        ("number", "call me"),
        ("number", 2025550166),
        ("language", "tlh"),
        ("time_zone", "EST5EDT/../x"),
        ("consent_wording", ""),
        ("monitoring", "active"),
        ("created_at", "2020-01-01T00:00:00Z"),
    ],
)
def test_a_value_no_text_could_follow_is_refused(
    cast: Cast, desk: Api, field: str, value: Any
) -> None:
    found = problem(desk.post("enrollments", details(cast, **{field: value})), 400)
    assert list(found["errors"]) == [field]
    assert len(desk.get("clients").json()["results"]) == 1


def test_a_number_two_organizations_know_is_enrolled_alike(
    cast: Cast, desk: Api
) -> None:
    theirs = Api(cast.outsider)
    site = {"site": str(cast.other_site.id), "clinician": str(cast.outsider.id)}
    first = theirs.post("enrollments", details(cast, **site))
    second = desk.post("enrollments", details(cast))
    assert first.status_code == second.status_code == 201
    assert first.json().keys() == second.json().keys()


def test_an_opted_out_number_is_not_enrolled_again(
    cast: Cast, running: Day, desk: Api
) -> None:
    running.text(NUMBER, SENDING, "STOP")
    found = problem(desk.post("enrollments", details(cast, number=NUMBER)), 409)
    assert "START" in found["detail"]
    assert len(desk.get("clients").json()["results"]) == 1


def test_another_number_gets_a_first_text_and_must_answer_it(
    cast: Cast, running: Day, desk: Api
) -> None:
    path = f"clients/{cast.client.id}"
    found = desk.post(f"{path}/number", {"number": OTHER_NUMBER}).json()
    assert (found["number"], found["monitoring"]) == (OTHER_NUMBER, "pending")
    assert desk.get(path).json() == found
    running.forward(hours=6)
    assert len(running.phones.to(OTHER_NUMBER)) == 1
    running.text(OTHER_NUMBER, SENDING, "yes")
    assert desk.get(path).json()["monitoring"] == "active"


def test_an_opt_out_told_at_the_desk_ends_every_text(
    cast: Cast, running: Day, desk: Api
) -> None:
    path = f"clients/{cast.client.id}/opt-out"
    found = desk.post(path).json()
    assert (found["monitoring"], found["number_state"]) == ("ended", "opted_out")
    before = len(running.phones.to(NUMBER))
    running.forward(hours=30)
    assert len(running.phones.to(NUMBER)) == before
    problem(desk.post(path), 409)
    listed = Api(cast.auditor).get("audit", action="client.opt_out_recorded")
    (line,) = listed.json()["results"]
    assert line["actor"] == f"staff:{cast.desk.id}"
    alerts = Api(cast.clinician).get("alerts").json()["results"]
    assert [one["reason"] for one in alerts[0]["reasons"]] == ["opted_out"]


def test_the_auditor_reads_and_never_writes(cast: Cast) -> None:
    api = Api(cast.auditor)
    problem(api.post("enrollments", details(cast)), 403)
    problem(api.post(f"clients/{cast.client.id}/opt-out"), 403)
