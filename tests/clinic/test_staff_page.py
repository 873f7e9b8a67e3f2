"""Staff: accounts and roles by the owner, looked at by leads and auditors."""

from __future__ import annotations

from typing import Any

import pytest

from clinic import scope
from clinic.models import RoleGrant, Staff
from tests.browsing import page_of, signed_in
from tests.cast import Cast

NEW = {"name": "Bram Oyelaran", "email": "bram@harrow.example", "password": ""}


def owner_posts(cast: Cast, path: str, data: dict[str, Any] | None = None) -> Any:
    return signed_in(cast.owner).post(path, data or {})


def roles(staff: Staff) -> list[str]:
    with scope.within(staff.organization_id):
        return sorted(staff.grants.values_list("role", flat=True))


def test_the_owner_makes_an_account_and_gives_it_a_role(cast: Cast) -> None:
    answer = owner_posts(cast, "/staff/add", NEW)
    made = Staff.objects.get(email="bram@harrow.example")
    assert answer.url == f"/staff/{made.id}"
    assert not made.has_usable_password()
    data = {"role": "clinician", "site": cast.site.id}
    assert owner_posts(cast, f"/staff/{made.id}/grant", data).status_code == 302
    assert roles(made) == ["clinician"]
    assert "Bram Oyelaran" in page_of(signed_in(cast.owner).get("/staff"))


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"name": ""}, "required"),
        ({"name": "a\x00"}, "a sign that cannot be kept"),
        ({"email": "nowhere"}, "valid email"),
        ({"email": "owner@harrow.example"}, "An account has this e-mail address"),
        ({"password": "short"}, "at least 15 characters"),
    ],
)
def test_a_wrong_account_is_refused_and_what_was_typed_stands(
    cast: Cast, changes: dict[str, str], said: str
) -> None:
    answer = owner_posts(cast, "/staff/add", NEW | changes)
    assert answer.status_code == 400
    assert said in page_of(answer)
    assert (NEW | changes)["email"] in page_of(answer)
    assert not Staff.objects.filter(name=NEW["name"]).exists()


def test_a_role_is_taken_away_and_the_last_owner_keeps_theirs(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        grant = RoleGrant.objects.get(staff=cast.clinician)
        owner = RoleGrant.objects.get(staff=cast.owner)
    assert owner_posts(cast, f"/roles/{grant.id}/revoke").status_code == 302
    assert roles(cast.clinician) == []
    refused = owner_posts(cast, f"/roles/{owner.id}/revoke")
    assert refused.status_code == 409
    assert "needs an owner" in page_of(refused)


def test_a_closed_account_is_out_on_its_next_request(cast: Cast) -> None:
    browser = signed_in(cast.clinician)
    assert browser.get("/sites").status_code == 200
    assert owner_posts(cast, f"/staff/{cast.clinician.id}/close").status_code == 302
    assert browser.get("/sites").status_code == 302
    assert "closed" in page_of(signed_in(cast.owner).get("/staff"))
    page = page_of(signed_in(cast.owner).get(f"/staff/{cast.clinician.id}"))
    assert "put somebody else in their place" in page


def test_the_owner_cannot_close_their_own_account(cast: Cast) -> None:
    assert owner_posts(cast, f"/staff/{cast.owner.id}/close").status_code == 409


@pytest.mark.parametrize("role", ["lead", "auditor"])
def test_leads_and_auditors_look_and_change_nothing(cast: Cast, role: str) -> None:
    browser = signed_in(getattr(cast, role))
    page = browser.get(f"/staff/{cast.clinician.id}")
    assert page.status_code == 200
    assert "Give the role" not in page_of(page)
    assert browser.post("/staff/add", NEW).status_code == 403
    close = browser.post(f"/staff/{cast.clinician.id}/close")
    assert close.status_code == 403


@pytest.mark.parametrize("role", ["clinician", "desk", "outsider"])
def test_others_do_not_see_the_staff(cast: Cast, role: str) -> None:
    assert signed_in(getattr(cast, role)).get("/staff").status_code == 403


def test_a_role_or_site_that_is_none_is_refused_beside_its_field(cast: Cast) -> None:
    path = f"/staff/{cast.desk.id}/grant"
    for wrong in ({"role": "king"}, {"role": "owner", "site": cast.other_site.id}):
        answer = owner_posts(cast, path, wrong)
        assert answer.status_code == 400
        assert "Select a valid choice" in page_of(answer)
    assert roles(cast.desk) == ["front_desk"]


def test_another_organization_s_owner_finds_nobody(cast: Cast) -> None:
    with scope.within(cast.other_organization.id):
        RoleGrant.objects.create(
            organization=cast.other_organization, staff=cast.outsider, role="owner"
        )
        mine = cast.desk.id
    browser = signed_in(cast.outsider)
    assert browser.get(f"/staff/{mine}").status_code == 404
    assert browser.post(f"/staff/{mine}/close").status_code == 404
    assert "harrow.example" not in page_of(browser.get("/staff"))
