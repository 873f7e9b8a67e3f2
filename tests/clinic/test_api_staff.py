"""API: accounts and roles."""

from __future__ import annotations

import pytest

from tests.api import Api, problem
from tests.cast import Cast


@pytest.fixture
def owner(cast: Cast) -> Api:
    return Api(cast.owner)


def test_staff_are_listed_with_their_roles(cast: Cast, owner: Api) -> None:
    found = owner.get("staff").json()["results"]
    roles = {row["name"]: [held["role"] for held in row["roles"]] for row in found}
    assert roles["Site Lead"] == ["site_lead"]
    assert "Outsider" not in roles


def test_a_new_account_has_no_role_and_no_password(cast: Cast, owner: Api) -> None:
    body = {"name": "Noor Vance", "email": "Noor@Harrow.example"}
    made = owner.post("staff", body)
    assert made.status_code == 201
    assert made.json()["email"] == "noor@harrow.example"
    assert made.json()["roles"] == []
    problem(Api(cast.owner).post("staff", body), 400)


@pytest.mark.parametrize("key", ["password", "is_active", "organization", "role"])
def test_what_the_server_owns_cannot_be_set(owner: Api, key: str) -> None:
    body = {"name": "Noor Vance", "email": "noor@harrow.example", key: "x"}
    assert list(problem(owner.post("staff", body), 400)["errors"]) == [key]


def test_a_role_is_given_once_and_taken_away(cast: Cast, owner: Api) -> None:
    path = f"staff/{cast.desk.id}/roles"
    body = {"role": "clinician", "site": str(cast.site.id)}
    first, second = owner.post(path, body), owner.post(path, body)
    assert first.json() == second.json()
    assert Api(cast.desk).get("triage").status_code == 200
    assert owner.delete(f"{path}/{first.json()['id']}").status_code == 204
    problem(Api(cast.desk).get("triage"), 403)
    problem(owner.delete(f"{path}/{first.json()['id']}"), 404)


def test_a_role_is_taken_only_at_its_own_persons_address(
    cast: Cast, owner: Api
) -> None:
    row = owner.get(f"staff/{cast.desk.id}").json()["roles"][0]
    problem(owner.delete(f"staff/{cast.lead.id}/roles/{row['id']}"), 404)


def test_an_owner_is_one_of_every_site(cast: Cast, owner: Api) -> None:
    body = {"role": "owner", "site": str(cast.site.id)}
    found = problem(owner.post(f"staff/{cast.lead.id}/roles", body), 400)
    assert list(found["errors"]) == ["site"]


def test_a_role_on_a_foreign_site_is_absent(cast: Cast, owner: Api) -> None:
    body = {"role": "clinician", "site": str(cast.other_site.id)}
    problem(owner.post(f"staff/{cast.lead.id}/roles", body), 404)
    unknown = {"role": "surgeon", "site": None}
    problem(owner.post(f"staff/{cast.lead.id}/roles", unknown), 400)


def test_the_last_owner_and_the_own_account_stay(cast: Cast, owner: Api) -> None:
    row = owner.get(f"staff/{cast.owner.id}").json()["roles"][0]
    problem(owner.delete(f"staff/{cast.owner.id}/roles/{row['id']}"), 409)
    problem(owner.post(f"staff/{cast.owner.id}/deactivation"), 409)


def test_a_closed_account_is_listed_as_closed_and_calls_no_more(
    cast: Cast, owner: Api
) -> None:
    desk = Api(cast.desk)
    assert owner.post(f"staff/{cast.desk.id}/deactivation").status_code == 204
    problem(desk.get("me"), 401)
    closed = owner.get("staff", is_active="false").json()["results"]
    assert [row["name"] for row in closed] == ["Front Desk"]
