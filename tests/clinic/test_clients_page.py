"""The list of clients: whom a person sees, and finding one without a name in a URL."""

from __future__ import annotations

import pytest

from clinic import caseload, scope
from clinic.models import Client
from tests.browsing import LONE_SURROGATE, page_of, post_raw, signed_in
from tests.cast import Cast, enroll


@pytest.fixture
def crowd(cast: Cast) -> Cast:
    with scope.within(cast.organization.id):
        enroll(cast.site, cast.clinician, name="Zoë Marlow", number="+12025550144")
        enroll(
            cast.far_site, cast.far_clinician, name="Omar Vance", number="+12025550145"
        )
    return cast


@pytest.mark.parametrize("role", ["clinician", "desk", "lead"])
def test_a_person_of_one_site_sees_its_clients_only(crowd: Cast, role: str) -> None:
    page = page_of(signed_in(getattr(crowd, role)).get("/clients"))
    assert "Ines Calder" in page
    assert "Omar Vance" not in page


def test_the_owner_sees_every_site_and_the_outsider_none(crowd: Cast) -> None:
    assert "Omar Vance" in page_of(signed_in(crowd.owner).get("/clients"))
    outside = page_of(signed_in(crowd.outsider).get("/clients"))
    assert "Ines Calder" not in outside
    assert "0 clients" in outside


def test_a_name_is_found_by_part_without_accents_in_any_order(crowd: Cast) -> None:
    found = signed_in(crowd.clinician).post("/clients", {"name": "marlow zoe"})
    assert "Zoë Marlow" in page_of(found)
    assert "Ines Calder" not in page_of(found)


def test_clients_are_listed_by_name_and_narrowed_by_state(crowd: Cast) -> None:
    browser = signed_in(crowd.clinician)
    page = page_of(browser.get("/clients"))
    assert page.index("Ines Calder") < page.index("Zoë Marlow")
    assert "Nobody matches" in page_of(
        browser.post("/clients", {"monitoring": "ended"})
    )


def test_a_site_that_is_not_yours_is_refused_beside_its_field(crowd: Cast) -> None:
    answer = signed_in(crowd.clinician).post("/clients", {"site": crowd.far_site.id})
    assert answer.status_code == 400
    assert "Omar Vance" not in page_of(answer)


@pytest.mark.parametrize("sign", [b"%00", LONE_SURROGATE])
def test_a_broken_sign_in_the_search_is_refused(crowd: Cast, sign: bytes) -> None:
    answer = post_raw(signed_in(crowd.clinician), "/clients", b"name=a" + sign)
    assert answer.status_code == 400
    assert "a sign that cannot be kept" in page_of(answer)


@pytest.mark.parametrize("page", ["-1", "x", "99999999999", "²"])
def test_a_page_number_that_is_none_shows_a_page(crowd: Cast, page: str) -> None:
    answer = signed_in(crowd.clinician).post("/clients", {"page": page})
    assert "Ines Calder" in page_of(answer)


def test_past_the_limit_names_are_not_opened(
    crowd: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(caseload, "MOST_IN_MEMORY", 1)
    with scope.within(crowd.organization.id):
        found = caseload.find(Client.objects.all(), name="nobody")
    assert (found.by_name, found.total) == (False, 3)
    assert found.clients[0].name == "Omar Vance"
