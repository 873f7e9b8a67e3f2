"""API: reports in person, what is made of them, and the decisions."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest

from clinic import scope
from clinic.errors import Conflict
from programs import reporting
from programs.logic.reports import SymptomReport
from programs.models import SessionReport
from tests.api import Api, problem
from tests.cast import NOW, OTHER_NUMBER, Cast, enroll, prescribe


@pytest.fixture
def api(cast: Cast) -> Api:
    prescribe(cast.client, cast.clinician)
    return Api(cast.clinician)


@pytest.fixture
def path(cast: Cast) -> str:
    return f"clients/{cast.client.id}/reports"


def report(**changes: Any) -> dict[str, Any]:
    values: dict[str, Any] = {
        "key": str(uuid4()),
        "at": "2026-03-02T09:30:00-05:00",
        "pain": 4.5,
        "areas": {"thigh": "present", "foot": "gone"},
        "side": "right",
        "completion": "done",
        "pain_by_area": {"thigh": 4},
        "sensation": {"thigh": "tingling"},
    }
    return values | changes


def test_a_report_in_person_is_kept_as_it_was_said(api: Api, path: str) -> None:
    made = api.post(path, report())
    assert made.status_code == 201, made.content
    (row,) = api.get(path).json()["results"]
    assert row == made.json()
    assert (row["source"], row["at"]) == ("in_person", "2026-03-02T14:30:00Z")
    assert row["areas"] == {"thigh": "present", "foot": "gone"}
    assert row["program"] is not None


def test_the_same_key_again_adds_nothing(cast: Cast, api: Api, path: str) -> None:
    body = report()
    first = api.post(path, body).json()
    for _ in range(3):
        assert api.post(path, body | {"pain": 9}).json() == first
    with scope.within(cast.organization.id):
        assert SessionReport.objects.count() == 1


def test_a_key_of_another_clients_report_shows_nothing_of_it(
    cast: Cast, api: Api, path: str
) -> None:
    body = report()
    api.post(path, body)
    with scope.within(cast.organization.id):
        other = enroll(cast.far_site, cast.far_clinician, number=OTHER_NUMBER)
    far = Api(cast.far_clinician).post(f"clients/{other.id}/reports", body)
    assert "thigh" not in far.content.decode()
    assert problem(far, 409)["code"] == "conflict"


def test_the_writer_refuses_a_key_of_another_client(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        other = enroll(cast.far_site, cast.far_clinician, number=OTHER_NUMBER)
        said = SymptomReport(at=NOW, pain=2)
        about = {"program": None, "key": "one", "actor": "service", "now": NOW}
        reporting.record(cast.client, said, **about)
        with pytest.raises(Conflict):
            reporting.record(other, said, **about)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"at": "2026-03-02T09:30:00"}, "at"),
        ({"at": "2026-03-02T15:00:01Z"}, "at"),
        ({"at": "yesterday"}, "at"),
        ({"at": "0001-01-01T00:00:00+14:00"}, "at"),
        ({"pain": 11}, "pain"),
        ({"pain": "4"}, "pain"),
        ({"areas": {"ankle": "present"}}, "areas"),
        ({"areas": {"thigh": "hot"}}, "areas"),
        ({"areas": ["thigh"]}, "areas"),
        ({"pain_by_area": {"thigh": -1}}, "pain_by_area"),
        ({"side": "middle"}, "side"),
        ({"overall": "fine"}, "overall"),
        ({"source": "text"}, "source"),
        ({"voided_at": None}, "voided_at"),
        ({"key": "one"}, "key"),
    ],
)
def test_a_report_that_could_be_misread_is_refused(
    api: Api, path: str, changes: dict[str, Any], field: str
) -> None:
    found = problem(api.post(path, report(**changes)), 400)
    assert list(found["errors"]) == [field]
    assert api.get(path).json()["results"] == []


def test_a_pain_beyond_numbers_is_no_json(api: Api, path: str) -> None:
    assert problem(api.post(path, report(pain=1e400)), 400)["code"] == "parse_error"


def test_a_voided_report_stays_with_its_reason(api: Api, path: str) -> None:
    row = api.post(path, report()).json()
    where = f"{path}/{row['id']}/void"
    problem(api.post(where, {"reason": ""}), 400)
    voided = api.post(where, {"reason": "Another client's words"}).json()
    assert voided["voided_at"] == "2026-03-02T15:00:00Z"
    problem(api.post(where, {"reason": "again"}), 409)
    assert api.get(path, voided="false").json()["results"] == []
    assert api.get(path, voided="true").json()["results"] == [voided]


def test_a_report_is_voided_only_at_its_own_clients_address(
    cast: Cast, api: Api, path: str
) -> None:
    row = api.post(path, report()).json()
    with scope.within(cast.organization.id):
        other = enroll(cast.site, cast.clinician, number=OTHER_NUMBER)
    where = f"clients/{other.id}/reports/{row['id']}/void"
    problem(api.post(where, {"reason": "wrong"}), 404)


def test_voiding_leaves_an_assessment_without_the_report(
    cast: Cast, api: Api, path: str
) -> None:
    row = api.post(path, report()).json()
    api.post(f"{path}/{row['id']}/void", {"reason": "wrong person"})
    (found,) = api.get(f"clients/{cast.client.id}/assessments").json()["results"]
    assert found["location_trend"] == "unclear"
    assert found["ready_to_progress"] is False


@pytest.mark.parametrize("what", ["reports", "assessments", "decisions"])
def test_the_front_desk_reads_no_symptoms(cast: Cast, what: str) -> None:
    problem(Api(cast.desk).get(f"clients/{cast.client.id}/{what}"), 403)
