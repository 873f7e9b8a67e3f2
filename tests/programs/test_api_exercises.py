"""API: the exercise library and the organization's templates."""

from __future__ import annotations

from typing import Any

import pytest

from programs import library
from tests.api import Api, problem, template_plan_json
from tests.cast import Cast


@pytest.fixture
def lead(cast: Cast) -> Api:
    return Api(cast.lead)


def draft(api: Api, name: str = "Extension, first week") -> dict[str, Any]:
    made = api.post("templates", {"name": name, "plan": template_plan_json()})
    assert made.status_code == 201, made.content
    found: dict[str, Any] = made.json()
    return found


def test_the_library_is_listed_whole_in_three_languages(cast: Cast) -> None:
    found = Api(cast.desk).get("exercises").json()["exercises"]
    assert [row["code"] for row in found] == list(library.load())
    assert set(found[0]["texts"]) == {"en", "es", "fr"}
    assert all(row["texts"]["es"]["stop_if"] for row in found)


def test_one_exercise_comes_with_its_drawing(cast: Cast) -> None:
    found = Api(cast.desk).get("exercises/press_up").json()
    assert found["dose"]["repetitions"] == 10
    assert found["drawing"].startswith("<svg")


def test_a_template_is_drafted_published_and_frozen(lead: Api) -> None:
    made = draft(lead)
    (version,) = made["versions"]
    assert (version["number"], version["published_at"]) == (1, None)
    assert version["content"]["review_after_days"] == 10
    path = f"template-versions/{version['id']}/publication"
    assert lead.post(path).json()["published_at"] == "2026-03-02T15:00:00Z"
    problem(lead.post(path), 409)
    lighter = template_plan_json(times_per_day=3)
    body = {"plan": lighter, "change_note": "less often"}
    second = lead.post(f"templates/{made['id']}/versions", body).json()
    assert (second["number"], second["content"]["times_per_day"]) == (2, 3)
    versions = lead.get(f"templates/{made['id']}").json()["versions"]
    assert [one["content"]["times_per_day"] for one in versions] == [5, 3]


def test_a_draft_is_replaced_until_it_is_published(lead: Api) -> None:
    made = draft(lead)
    body = {"plan": template_plan_json(times_per_day=4)}
    lead.post(f"templates/{made['id']}/versions", body)
    (version,) = lead.get(f"templates/{made['id']}").json()["versions"]
    assert (version["number"], version["content"]["times_per_day"]) == (1, 4)


def test_what_comes_out_of_a_template_goes_in_again(lead: Api) -> None:
    content = draft(lead)["versions"][0]["content"]
    again = lead.post("templates", {"name": "Again", "plan": content})
    assert again.status_code == 201
    assert again.json()["versions"][0]["content"] == content


def test_retired_templates_are_filtered(lead: Api) -> None:
    made = draft(lead)
    draft(lead, "Walking")
    assert lead.post(f"templates/{made['id']}/retirement").status_code == 204

    def names(retired: str) -> list[str]:
        rows = lead.get("templates", retired=retired).json()["results"]
        return [row["name"] for row in rows]

    assert (names("true"), names("false")) == (["Extension, first week"], ["Walking"])


def test_two_templates_of_one_name_are_refused_in_one_organization_only(
    cast: Cast, lead: Api
) -> None:
    draft(lead)
    body = {"name": "Extension, first week", "plan": template_plan_json()}
    assert list(problem(lead.post("templates", body), 400)["errors"]) == ["name"]
    assert Api(cast.outsider).post("templates", body).status_code == 201


def test_a_clinician_drafts_and_does_not_publish(cast: Cast) -> None:
    api = Api(cast.clinician)
    version = draft(api)["versions"][0]
    problem(api.post(f"template-versions/{version['id']}/publication"), 403)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("review_after_days", 0),
        ("review_after_days", 121),
        ("times_per_day", 13),
        ("waking_to", "07:00"),
        ("items", []),
        ("items", [{"exercise": "no_such"}]),
        ("stop_rules", ["no_such"]),
    ],
)
def test_a_plan_no_client_could_be_on_is_refused(
    lead: Api, field: str, value: Any
) -> None:
    body = {"name": "Wrong", "plan": template_plan_json(**{field: value})}
    assert problem(lead.post("templates", body), 400)["errors"]
