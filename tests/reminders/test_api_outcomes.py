"""API: outcome measures recorded, listed, voided and asked."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest

from clinic import scope
from clinic.models import Client
from programs.models import OutcomeAsk
from tests.api import Api, problem
from tests.cast import OTHER_NUMBER, Cast, enroll


@pytest.fixture
def api(cast: Cast) -> Api:
    with scope.within(cast.organization.id):
        Client.objects.filter(pk=cast.client.pk).update(monitoring="active")
    return Api(cast.clinician)


@pytest.fixture
def path(cast: Cast) -> str:
    return f"clients/{cast.client.id}/outcomes"


def outcome(measure: str, answers: dict[str, Any], **changes: Any) -> dict[str, Any]:
    values: dict[str, Any] = {
        "key": str(uuid4()),
        "measure": measure,
        "at": "2026-03-02T09:30:00-05:00",
        "answers": answers,
    }
    return values | changes


@pytest.mark.parametrize(
    ("measure", "answers", "score", "missing"),
    [
        ("nprs", {"pain": 3.5}, 3.5, 0),
        ("rmdq", {"ticked": [1, 4, 9]}, 3, 0),
        ("rmdq", {"ticked": [], "none": True}, 0, 0),
        ("rmdq", {"total": 14}, 14, 0),
        (
            "psfs",
            {
                "activities": [
                    {"name": "stairs", "rating": 4},
                    {"name": "socks", "rating": None},
                ]
            },
            4,
            1,
        ),
        ("grc", {"change": -2}, -2, 0),
        ("odi", {"points": 16, "answered": 9}, 35.6, 1),
        ("start_back", {"total": 5, "distress": 4}, 5, 0),
    ],
)
def test_an_outcome_is_kept_as_it_was_answered(
    api: Api, path: str, measure: str, answers: Any, score: float, missing: int
) -> None:
    made = api.post(path, outcome(measure, answers))
    assert made.status_code == 201, made.content
    (row,) = api.get(path, measure=measure).json()["results"]
    assert row == made.json()
    assert (row["score"], row["missing"], row["source"]) == (score, missing, "clinic")
    assert row["answers"] == answers
    assert (row["voided_at"], row["void_reason"]) == (None, "")


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"measure": "sf36"}, "measure"),
        ({"answers": {"pain": 11}}, "pain"),
        ({"answers": {"pain": "4"}}, "answers"),
        ({"answers": {"change": 2}}, "change"),
        ({"answers": {"mood": 2}}, "answers"),
        ({"answers": {}}, "pain"),
        ({"at": "2026-03-02T15:00:01Z"}, "at"),
        ({"at": "2026-03-02T09:30:00"}, "at"),
        ({"score": 3}, "score"),
    ],
)
def test_what_could_be_misread_is_refused(
    api: Api, path: str, changes: dict[str, Any], field: str
) -> None:
    found = problem(api.post(path, outcome("nprs", {"pain": 4}) | changes), 400)
    assert list(found["errors"]) == [field]
    assert api.get(path).json()["results"] == []


def test_the_same_key_again_adds_nothing_and_shows_no_other_client(
    cast: Cast, api: Api, path: str
) -> None:
    body = outcome("nprs", {"pain": 4})
    first = api.post(path, body).json()
    assert api.post(path, body).json() == first
    with scope.within(cast.organization.id):
        other = enroll(cast.far_site, cast.far_clinician, number=OTHER_NUMBER)
    far = Api(cast.far_clinician).post(f"clients/{other.id}/outcomes", body)
    assert problem(far, 409)["code"] == "conflict"


def test_a_voided_outcome_stays_with_its_reason(
    cast: Cast, api: Api, path: str
) -> None:
    row = api.post(path, outcome("nprs", {"pain": 4})).json()
    where = f"{path}/{row['id']}/void"
    problem(api.post(where, {"reason": ""}), 400)
    voided = api.post(where, {"reason": "Another form"}).json()
    assert voided["voided_at"] == "2026-03-02T15:00:00Z"
    assert voided["void_reason"] == "Another form"
    problem(api.post(where, {"reason": "again"}), 409)
    assert api.get(path, voided="false").json()["results"] == []
    assert api.get(path, voided="true").json()["results"] == [voided]
    with scope.within(cast.organization.id):
        other = enroll(cast.site, cast.clinician, number=OTHER_NUMBER)
    elsewhere = f"clients/{other.id}/outcomes/{row['id']}/void"
    problem(api.post(elsewhere, {"reason": "wrong"}), 404)


def test_a_page_is_asked_and_its_link_is_not_shown(cast: Cast, api: Api) -> None:
    where = f"clients/{cast.client.id}/outcome-asks"
    made = api.post(where, {"measure": "rmdq"})
    assert made.status_code == 201, made.content
    assert set(made.json()) == {"id", "client", "measure", "asked_at", "expires_at"}
    with scope.within(cast.organization.id):
        assert OutcomeAsk.objects.get().digest not in made.content.decode()
    problem(api.post(where, {"measure": "odi"}), 400)
    problem(api.post(where, {"measure": "psfs"}), 409)


def test_the_front_desk_reads_and_writes_none(cast: Cast, path: str) -> None:
    desk = Api(cast.desk)
    problem(desk.get(path), 403)
    problem(desk.post(path, outcome("nprs", {"pain": 4})), 403)
