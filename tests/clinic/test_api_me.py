"""API: who calls, their devices, the audit trail, the documentation."""

from __future__ import annotations

from datetime import timedelta

import pytest
import time_machine
from django.test import Client as Browser

from clinic import pairing, scope, staffing
from clinic.models import DeviceToken
from tests.api import Api, problem
from tests.cast import NOW, PASSWORD, Cast


def session(cast: Cast) -> Browser:
    browser = Browser()
    assert browser.login(email=cast.clinician.email, password=PASSWORD)
    return browser


def test_me_names_roles_and_the_operations_they_carry(cast: Cast) -> None:
    found = Api(cast.desk).get("me").json()
    assert found["organization"]["name"] == "Harrow Mill"
    assert [(r["role"], r["site"]) for r in found["roles"]] == [
        ("front_desk", str(cast.site.id))
    ]
    assert "client.enroll" in found["operations"]
    assert "client.read_symptoms" not in found["operations"]


def test_a_token_is_shown_once_and_kept_as_a_digest(cast: Cast) -> None:
    browser = session(cast)
    body = {"device": "laptop"}
    found = browser.post("/api/v1/tokens", body, content_type="application/json")
    assert found.status_code == 201
    token = found.json()["token"]
    listed = browser.get("/api/v1/tokens").json()["results"]
    assert [row["device"] for row in listed] == ["laptop"]
    assert token not in browser.get("/api/v1/tokens").content.decode()
    with scope.within(cast.organization.id):
        assert DeviceToken.objects.get().digest == pairing.digest_of(token)


def test_a_token_cannot_make_a_token(cast: Cast) -> None:
    refused = Api(cast.clinician).post("tokens", {"device": "another"})
    assert "Sign in on the pages" in problem(refused, 403)["detail"]


def test_a_revoked_token_is_out_at_once(cast: Cast) -> None:
    lost, kept = Api(cast.clinician), Api(cast.clinician)
    listed = kept.get("tokens").json()["results"]
    assert len(listed) == 2
    for row in listed:
        assert lost.delete(f"tokens/{row['id']}").status_code == 204
    problem(kept.get("me"), 401)
    problem(lost.get("me"), 401)


def test_another_persons_token_is_absent(cast: Cast) -> None:
    row, _ = pairing.issue(cast.lead, "phone", now=NOW)
    problem(Api(cast.clinician).delete(f"tokens/{row.id}"), 404)


def test_a_token_ends_after_its_time(cast: Cast) -> None:
    api = Api(cast.clinician)
    api.now += pairing.LIFETIME - timedelta(seconds=1)
    assert api.get("me").status_code == 200
    api.now += timedelta(seconds=1)
    problem(api.get("me"), 401)


def test_a_closed_account_and_a_taken_role_bite_on_the_next_call(cast: Cast) -> None:
    api, desk = Api(cast.clinician), Api(cast.desk)
    with scope.within(cast.organization.id):
        grant = cast.desk.grants.get()
        staffing.revoke(grant, by=cast.owner, now=NOW)
        staffing.deactivate(cast.clinician, by=cast.owner, now=NOW)
    problem(api.get("me"), 401)
    problem(desk.get("clients"), 403)


def test_the_audit_trail_is_paged_from_the_newest(cast: Cast) -> None:
    api = Api(cast.auditor)
    first = api.get("audit", page_size=5).json()
    numbers = [row["sequence"] for row in first["results"]]
    assert numbers == sorted(numbers, reverse=True)
    assert len(numbers) == 5
    cursor = first["next"].split("cursor=")[1].split("&")[0]
    with time_machine.travel(NOW, tick=False):
        again = Browser(headers=api.headers).get(
            f"/api/v1/audit?page_size=5&cursor={cursor}"
        )
    assert again.json()["results"][0]["sequence"] == numbers[-1] - 1


@pytest.mark.parametrize("size", ["101", "100000", "0", "-1", "x"])
def test_no_page_is_longer_than_a_hundred(cast: Cast, size: str) -> None:
    with scope.within(cast.organization.id):
        for number in range(120):
            pairing.issue(cast.lead, f"device {number}", now=NOW)
    found = Api(cast.auditor).get("audit", page_size=size)
    assert len(found.json()["results"]) <= 100


def test_the_audit_trail_is_filtered_by_record_action_and_person(cast: Cast) -> None:
    api = Api(cast.auditor)
    about = api.get("audit", subject=str(cast.client.id)).json()["results"]
    assert [row["action"] for row in about] == ["client.enrolled"]
    by = api.get("audit", staff=str(cast.clinician.id)).json()["results"]
    assert {row["actor"] for row in by} == {f"staff:{cast.clinician.id}"}
    foreign = str(cast.other_site.id)
    assert api.get("audit", subject=foreign).json()["results"] == []


def test_the_audit_trail_of_every_site_is_not_for_one_sites_auditor(
    cast: Cast,
) -> None:
    with scope.within(cast.organization.id):
        staffing.grant(cast.desk, "auditor", cast.site, by=cast.owner, now=NOW)
    problem(Api(cast.desk).get("audit"), 403)


def test_the_documentation_needs_a_sign_in(cast: Cast) -> None:
    problem(Api(None).get("schema"), 401)
    assert Api(cast.desk).get("schema").json()["openapi"] == "3.1.0"
