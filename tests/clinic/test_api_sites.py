"""API: sites, their hours and numbers, closures, and the on-call chain."""

from __future__ import annotations

from typing import Any

import pytest

from tests.api import Api, problem
from tests.cast import Cast


@pytest.fixture
def lead(cast: Cast) -> Api:
    return Api(cast.lead)


@pytest.fixture
def path(cast: Cast) -> str:
    return f"sites/{cast.site.id}"


def test_people_see_the_sites_they_work_at(cast: Cast, lead: Api) -> None:
    def names(api: Api) -> list[str]:
        return [row["name"] for row in api.get("sites").json()["results"]]

    assert names(lead) == ["Elm Row"]
    assert sorted(names(Api(cast.owner))) == ["Elm Row", "Quarry Street"]


def test_a_change_touches_only_what_it_names(lead: Api, path: str) -> None:
    before = lead.get(path).json()
    hours = {"hours": {"0": [["09:00", "12:00"], ["13:00", "17:00"]]}}
    found = lead.patch(path, hours)
    assert found.status_code == 200
    assert found.json() == before | hours


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("hours", {"0": [["18:00", "08:00"]]}),
        ("hours", {"0": [["8 am", "6 pm"]]}),
        ("hours", {"7": [["08:00", "18:00"]]}),
        ("hours", {"0": [["08:00"]]}),
        ("hours", {"0": "08:00"}),
        ("hours", {"0": [[8, 18]]}),
        ("hours", []),
        ("emergency_number", ""),
        ("short_name", "A name longer than a text can carry"),
        ("quiet_from", "25:00"),
        ("page_wait_minutes", 0),
        ("page_wait_minutes", "10"),
        ("region", "ZZ"),
        ("time_zone", "Nowhere"),
    ],
)
def test_a_detail_no_text_could_carry_is_refused(
    lead: Api, path: str, field: str, value: Any
) -> None:
    found = problem(lead.patch(path, {field: value}), 400)
    assert next(iter(found["errors"])).split(".")[0] == field


def test_a_second_site_of_the_same_name_is_refused(cast: Cast) -> None:
    api = Api(cast.owner)
    details = api.get(f"sites/{cast.site.id}").json()
    del details["id"]
    assert problem(api.post("sites", details), 400)["errors"].keys() == {"name"}
    made = api.post("sites", details | {"name": "Mill Lane"})
    assert made.status_code == 201
    assert api.get(f"sites/{made.json()['id']}").json()["short_name"] == "Elm Row"


def test_only_people_of_every_site_open_another(cast: Cast, lead: Api) -> None:
    details = lead.get(f"sites/{cast.site.id}").json() | {"name": "Mill Lane"}
    del details["id"]
    problem(lead.post("sites", details), 403)


def test_a_closure_is_put_once_and_taken_back(lead: Api, path: str) -> None:
    for _ in range(2):
        assert lead.put(f"{path}/closures/2026-03-20", {}).status_code == 200
    listed = lead.get(f"{path}/closures").json()["results"]
    assert listed == [{"on": "2026-03-20", "note": ""}]
    assert lead.delete(f"{path}/closures/2026-03-20").status_code == 204
    assert lead.get(f"{path}/closures").json()["results"] == []
    problem(lead.put(f"{path}/closures/2026-02-30", {}), 404)


def test_the_on_call_chain_is_replaced_whole(cast: Cast, lead: Api, path: str) -> None:
    place = {"staff": str(cast.lead.id), "number": "202 555 0195"}
    assert lead.put(f"{path}/on-call", {"chain": [place]}).status_code == 204
    (entry,) = lead.get(f"{path}/on-call").json()["results"]
    assert (entry["staff"]["name"], entry["number"]) == ("Site Lead", "+12025550195")


def test_staff_numbers_show_only_to_people_who_may_change_them(
    cast: Cast, path: str
) -> None:
    for person in (cast.desk, cast.clinician, cast.auditor):
        found = Api(person).get(f"{path}/on-call")
        assert len(found.json()["results"]) == 2
        assert b"number" not in found.content


@pytest.mark.parametrize("chain", [[], [{"staff": None, "number": "x"}], "me", None])
def test_a_chain_without_people_is_refused(lead: Api, path: str, chain: Any) -> None:
    problem(lead.put(f"{path}/on-call", {"chain": chain}), 400)


def test_a_person_of_another_place_cannot_be_put_on_call(
    cast: Cast, lead: Api, path: str
) -> None:
    for person in (cast.outsider, cast.far_clinician):
        place = {"staff": str(person.id), "number": "+12025550195"}
        problem(lead.put(f"{path}/on-call", {"chain": [place]}), 404)
    assert len(lead.get(f"{path}/on-call").json()["results"]) == 2


def test_the_front_desk_sees_whom_a_client_can_be_given_to(
    cast: Cast, path: str
) -> None:
    found = Api(cast.desk).get(f"{path}/clinicians").json()["results"]
    assert {row["name"] for row in found} == {"Clinician", "Site Lead"}
