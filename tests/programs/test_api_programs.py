"""API: prescribing, revising, holding, pausing and stopping home programs."""

from __future__ import annotations

from typing import Any

import pytest

from tests.api import Api, plan_json, problem, start_json, template_plan_json
from tests.cast import Cast


@pytest.fixture
def api(cast: Cast) -> Api:
    return Api(cast.clinician)


@pytest.fixture
def path(cast: Cast) -> str:
    return f"clients/{cast.client.id}/programs"


def prescribed(api: Api, path: str, **plan: Any) -> dict[str, Any]:
    made = api.post(path, {"plan": plan_json(**plan), "start": start_json()})
    assert made.status_code == 201, made.content
    found: dict[str, Any] = made.json()
    return found


def test_a_program_keeps_its_plan_and_its_starting_point(api: Api, path: str) -> None:
    made = prescribed(api, path)
    shown = api.get(f"programs/{made['id']}").json()
    assert shown == made
    assert shown["state"] == "active"
    assert shown["starting_point"]["reach_right"] == "thigh"
    assert shown["starting_point"]["precautions"]["pregnancy"] is False
    assert [item["exercise"] for item in shown["revision"]["items"]] == [
        "prone_on_elbows",
        "press_up",
    ]
    assert shown["revision"]["reason"] == "prescribed"
    assert shown["revision"]["author"]["name"] == "Clinician"


def test_a_client_is_on_one_program_at_a_time(api: Api, path: str) -> None:
    first = prescribed(api, path)
    body = {"plan": plan_json(), "start": start_json()}
    problem(api.post(path, body), 409)
    assert api.post(f"programs/{first['id']}/stop").json()["state"] == "stopped"
    prescribed(api, path)
    states = [row["state"] for row in api.get(path).json()["results"]]
    assert states == ["active", "stopped"]


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"hold_seconds": 0}, "plan"),
        ({"hold_seconds": 4000}, "plan"),
        ({"hold_seconds": "30"}, "plan"),
        ({"hold_seconds": 30.5}, "plan"),
        ({"hold_seconds": True}, "plan"),
        ({"hold_seconds": None}, "items.0.hold_seconds"),
        ({"duration_minutes": 5}, "items.0.duration_minutes"),
        ({"times_per_day": 9}, "items.0.times_per_day"),
        ({"hold_low": 20, "hold_high": 25}, "items.0.hold_low"),
        ({"exercise": "no_such"}, "items"),
        ({"exercise": "walking"}, "items.0.hold_seconds"),
        ({"author": "me"}, "plan"),
    ],
)
def test_a_dose_nobody_should_be_sent_is_refused(
    api: Api, path: str, changes: dict[str, Any], field: str
) -> None:
    items = plan_json()["items"]
    items[0] |= changes
    body = {"plan": plan_json(items=items), "start": start_json()}
    found = problem(api.post(path, body), 400)
    assert list(found["errors"]) == [field]


@pytest.mark.parametrize(
    "changes",
    [
        {"waking_from": "20:30", "waking_to": "08:00"},
        {"waking_from": "03:00"},
        {"times_per_day": 12, "waking_to": "12:00"},
        {"review_on": "2026-03-01"},
        {"review_on": "2027-03-01"},
        {"review_on": "soon"},
        {"stop_rules": ["never"]},
        {"items": []},
        {"items": plan_json()["items"] * 5},
        {"items": [plan_json()["items"][0]] * 2},
    ],
)
def test_a_plan_that_cannot_be_kept_is_refused(
    api: Api, path: str, changes: dict[str, Any]
) -> None:
    body = {"plan": plan_json(**changes), "start": start_json()}
    assert problem(api.post(path, body), 400)["errors"]
    assert api.get(path).json()["results"] == []


@pytest.mark.parametrize(
    "changes",
    [
        {"pain": 11},
        {"pain": -1},
        {"pain": "5"},
        {"reach_left": "ankle"},
        {"sensation": "hot"},
        {"directional_preference": "up"},
        {"lateral_shift": "middle"},
        {"precautions": {}},
        {"precautions": {"pregnancy": "no"}},
    ],
)
def test_a_starting_point_that_says_nothing_is_refused(
    api: Api, path: str, changes: dict[str, Any]
) -> None:
    body = {"plan": plan_json(), "start": start_json(**changes)}
    assert list(problem(api.post(path, body), 400)["errors"]) == ["start"]


def test_a_revision_is_added_with_its_reason(api: Api, path: str) -> None:
    program = prescribed(api, path)
    where = f"programs/{program['id']}/revisions"
    lighter = plan_json(items=plan_json()["items"][:1])
    made = api.post(where, {"plan": lighter, "reason": "too much at once"})
    assert made.status_code == 201
    listed = api.get(where).json()["results"]
    assert [(row["number"], row["reason"]) for row in listed] == [
        (2, "too much at once"),
        (1, "prescribed"),
    ]
    shown = api.get(f"programs/{program['id']}").json()["revision"]
    assert shown == made.json()
    problem(api.post(where, {"plan": lighter, "reason": " "}), 400)
    problem(api.post(where, {"plan": lighter}), 400)


def test_what_comes_out_of_a_program_goes_in_again(api: Api, path: str) -> None:
    program = prescribed(api, path)
    shown = program["revision"]
    plan = {name: shown[name] for name in plan_json()}
    body = {"plan": plan, "reason": "the same again"}
    again = api.post(f"programs/{program['id']}/revisions", body)
    assert again.json()["items"] == shown["items"]


def test_a_program_is_held_paused_and_goes_on(api: Api, path: str) -> None:
    program = prescribed(api, path)

    def now(step: str, body: Any = None) -> Any:
        return api.post(f"programs/{program['id']}/{step}", body)

    assert now("hold").json()["state"] == "held"
    assert now("go-on").json()["state"] == "active"
    paused = now("pause", {"until": "2026-03-09"}).json()
    assert (paused["state"], paused["paused_until"]) == ("paused", "2026-03-09")
    assert now("go-on").json()["paused_until"] is None
    problem(now("pause", {"until": "2026-03-02"}), 400)
    assert now("pause", {"until": None}).json()["state"] == "paused"
    assert now("stop").json()["state"] == "stopped"
    problem(now("go-on"), 409)
    problem(now("pause", {"until": None}), 409)


def test_only_a_published_version_is_prescribed(cast: Cast, path: str) -> None:
    lead = Api(cast.lead)
    template = {"name": "First week", "plan": template_plan_json()}
    version = lead.post("templates", template).json()["versions"][0]["id"]
    body = {
        "plan": plan_json(),
        "start": start_json(),
        "template_version": version,
    }
    found = problem(lead.post(path, body), 400)
    assert list(found["errors"]) == ["template_version"]
    lead.post(f"template-versions/{version}/publication")
    assert lead.post(path, body).json()["template_version"] == version


def test_the_front_desk_sees_no_program(cast: Cast, api: Api, path: str) -> None:
    program = prescribed(api, path)
    desk = Api(cast.desk)
    problem(desk.get(path), 403)
    problem(desk.get(f"programs/{program['id']}"), 403)
