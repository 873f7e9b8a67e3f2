"""API: clients as the front desk knows them, and their consent."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clinic import consenting, scope
from tests.api import Api, problem
from tests.cast import CONSENT, NOW, NUMBER, OTHER_NUMBER, Cast, enroll


@pytest.fixture
def desk(cast: Cast) -> Api:
    return Api(cast.desk)


@pytest.fixture
def path(cast: Cast) -> str:
    return f"clients/{cast.client.id}"


def test_a_client_is_shown_as_the_front_desk_needs_them(
    cast: Cast, desk: Api, path: str
) -> None:
    found = desk.get(path).json()
    assert found["name"] == "Ines Calder"
    assert found["number"] == NUMBER
    assert found["number_state"] == "open"
    assert found["monitoring"] == "pending"
    assert found["clinician"]["name"] == "Clinician"


def test_the_number_is_cut_for_people_who_contact_nobody(cast: Cast, path: str) -> None:
    assert Api(cast.auditor).get(path).json()["number"] == "***43"


def test_an_opted_out_number_says_so(cast: Cast, desk: Api, path: str) -> None:
    with scope.within(cast.organization.id):
        phone = cast.client.numbers.get().phone
        consenting.withdraw(phone, inbound=None, now=NOW)
    found = desk.get(path).json()
    assert (found["number_state"], found["ended_reason"]) == ("opted_out", "opted_out")


def test_the_list_takes_as_many_queries_for_twenty_as_for_one(
    cast: Cast, desk: Api
) -> None:
    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as seen:
            assert desk.get("clients").status_code == 200
        return len(seen)

    desk.get("clients")
    one = queries()
    with scope.within(cast.organization.id):
        for n in range(19):
            enroll(cast.site, cast.clinician, number=f"+120255501{n:02d}")
    assert len(desk.get("clients").json()["results"]) == 20
    assert queries() == one


def test_the_list_is_filtered_and_a_foreign_value_is_an_unknown_one(
    cast: Cast, desk: Api
) -> None:
    def count(**query: str) -> int:
        return len(desk.get("clients", **query).json()["results"])

    assert count(site=str(cast.site.id), monitoring="pending") == 1
    assert count(monitoring="active") == 0
    assert count(clinician=str(cast.clinician.id)) == 1
    for foreign in (cast.other_site.id, cast.far_site.id, cast.outsider.id):
        assert count(site=str(foreign)) == 0
    problem(desk.get("clients", monitoring="asleep"), 400)
    problem(desk.get("clients", site="x"), 400)


def test_contact_is_corrected_field_by_field(cast: Cast, desk: Api, path: str) -> None:
    before = desk.get(path).json()
    changes = {"name": "Inés Calder", "time_zone": "America/Chicago"}
    assert desk.patch(path, changes).json() == before | changes
    given = desk.patch(path, {"clinician": str(cast.lead.id)}).json()
    assert given["clinician"]["name"] == "Site Lead"
    problem(desk.patch(path, {"clinician": str(cast.desk.id)}), 404)


def test_the_audit_line_of_a_correction_holds_no_name(
    cast: Cast, desk: Api, path: str
) -> None:
    desk.patch(path, {"name": "Another Name"})
    found = Api(cast.auditor).get("audit", action="client.changed")
    assert found.json()["results"][0]["detail"] == {"fields": ["name"]}
    assert b"Another" not in found.content


def test_a_number_is_looked_up_among_the_own_clients_only(
    cast: Cast, desk: Api
) -> None:
    with scope.within(cast.organization.id):
        enroll(cast.far_site, cast.far_clinician, number=OTHER_NUMBER)
    with scope.within(cast.other_organization.id):
        enroll(cast.other_site, cast.outsider, number="+12125550118")

    def names(number: str) -> list[str]:
        body = {"number": number, "site": str(cast.site.id)}
        found = desk.post("clients/search", body).json()["clients"]
        return [row["name"] for row in found]

    assert names("(202) 555-0143") == ["Ines Calder"]
    assert names(OTHER_NUMBER) == names("+12125550118") == names("+12125550119") == []
    wrong = {"number": "555", "site": str(cast.site.id)}
    assert list(problem(desk.post("clients/search", wrong), 400)["errors"]) == [
        "number"
    ]


def test_consent_shows_the_words_and_who_wrote_them_down(desk: Api, path: str) -> None:
    (event,) = desk.get(f"{path}/consent").json()["results"]
    assert (event["kind"], event["wording"]) == ("recorded", CONSENT)
    assert event["by"]["name"] == "Clinician"
