"""A person's own account: a device's token is shown once and signed out here."""

from __future__ import annotations

import re

import pytest

from clinic import pairing, scope
from clinic.models import DeviceToken
from tests.browsing import page_of, signed_in
from tests.cast import NOW, Cast


def tokens(cast: Cast) -> list[DeviceToken]:
    with scope.within(cast.organization.id):
        return list(DeviceToken.objects.all())


@pytest.mark.parametrize("role", ["owner", "lead", "clinician", "desk", "auditor"])
def test_everybody_sees_their_own_account(cast: Cast, role: str) -> None:
    staff = getattr(cast, role)
    page = page_of(signed_in(staff).get("/settings"))
    assert staff.email in page
    assert "/accounts/password/change/" in page


def test_a_token_is_shown_once_and_works(cast: Cast) -> None:
    browser = signed_in(cast.clinician)
    page = page_of(browser.post("/settings/devices", {"device": "Ward phone"}))
    token = re.search(r'<code class="token">([\w-]+)</code>', page)
    assert token is not None
    assert tokens(cast)[0].digest == pairing.digest_of(token[1])
    later = page_of(browser.get("/settings"))
    assert "Ward phone" in later
    assert token[1] not in later


@pytest.mark.parametrize("device", ["", "   ", "x" * 81, "a\x00b"])
def test_a_device_without_a_usable_name_gets_no_token(cast: Cast, device: str) -> None:
    answer = signed_in(cast.desk).post("/settings/devices", {"device": device})
    assert answer.status_code == 400
    assert 'class="errorlist"' in page_of(answer)
    assert tokens(cast) == []


def test_a_device_is_signed_out_by_its_owner_only(cast: Cast) -> None:
    row, _ = pairing.issue(cast.clinician, "Tablet", now=NOW)
    path = f"/settings/devices/{row.id}/revoke"
    for other in (cast.owner, cast.outsider):
        assert signed_in(other).post(path).status_code == 404
    assert tokens(cast)[0].revoked_at is None
    assert signed_in(cast.clinician).post(path).status_code == 302
    assert tokens(cast)[0].revoked_at is not None
    assert "Tablet" not in page_of(signed_in(cast.clinician).get("/settings"))


def test_a_visitor_is_sent_to_sign_in(cast: Cast) -> None:
    answer = signed_in(cast.desk)
    answer.logout()
    assert answer.get("/settings").url.startswith("/accounts/login/")
