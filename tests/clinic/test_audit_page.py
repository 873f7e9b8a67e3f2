"""The audit page: lines by record, the proof of the chain, and who may read it."""

from __future__ import annotations

import uuid

import pytest
from django.db import connection

from tests.browsing import page_of, signed_in
from tests.cast import Cast


@pytest.mark.parametrize("role", ["owner", "auditor"])
def test_lines_name_people_and_codes_but_no_client(cast: Cast, role: str) -> None:
    page = page_of(signed_in(getattr(cast, role)).get("/audit"))
    assert "client.enrolled" in page
    assert "Clinician" in page
    assert "Ines Calder" not in page


def test_lines_are_narrowed_to_one_record(cast: Cast) -> None:
    browser = signed_in(cast.auditor)
    page = page_of(browser.get("/audit", {"subject": str(cast.site.id)}))
    assert "site.opened" in page
    assert "client.enrolled" not in page
    none = page_of(browser.get("/audit", {"subject": str(uuid.uuid4())}))
    assert "No line." in none


@pytest.mark.parametrize("subject", ["x", "\x00", "1" * 400])
def test_an_id_that_is_none_is_refused_beside_its_field(
    cast: Cast, subject: str
) -> None:
    answer = signed_in(cast.auditor).get("/audit", {"subject": subject})
    assert answer.status_code == 400
    assert "This is not an id" in page_of(answer)


def test_older_lines_follow(cast: Cast) -> None:
    page = page_of(signed_in(cast.owner).get("/audit", {"before": "3"}))
    assert page.count("<tr>") == 1 + 2
    far = signed_in(cast.owner).get("/audit", {"before": "9" * 40})
    assert "client.enrolled" in page_of(far)


def test_the_chain_is_verified_and_a_changed_line_is_named(cast: Cast) -> None:
    browser = signed_in(cast.auditor)
    assert "The chain holds" in page_of(browser.post("/audit/verify"))
    with connection.cursor() as cursor:
        cursor.execute(
            "UPDATE clinic_auditentry SET action = 'nothing' WHERE sequence = 2"
            " AND organization_id = %s",
            [
                cast.organization.id.hex
                if connection.vendor == "sqlite"
                else cast.organization.id
            ],
        )
    page = page_of(browser.post("/audit/verify"))
    assert "The chain does not hold" in page
    assert "line 2: content was changed" in page


@pytest.mark.parametrize("role", ["lead", "clinician", "desk", "outsider"])
def test_others_may_not_read_the_chain(cast: Cast, role: str) -> None:
    browser = signed_in(getattr(cast, role))
    assert browser.get("/audit").status_code == 403
    assert browser.post("/audit/verify").status_code == 403
