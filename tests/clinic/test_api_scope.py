"""A call's organization ends with the call: the thread's next one starts with none."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import Client as Browser

from clinic import scope
from clinic.api_clients import Clients
from clinic.errors import Unscoped
from clinic.models import Client
from tests.api import Api, problem
from tests.cast import PASSWORD, Cast


@pytest.mark.parametrize(
    ("path", "status"),
    [("me", 200), ("schema", 200), ("audit", 403), ("tokens?x=1", 400), ("no", 404)],
)
def test_no_scope_is_left_after_a_bearer_call(
    cast: Cast, path: str, status: int
) -> None:
    assert Api(cast.clinician).get(path).status_code == status
    assert scope.active() is None


def test_no_scope_is_left_after_a_call_that_fails(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(self: Any, *args: Any) -> None:
        assert scope.active() == cast.organization.id
        raise RuntimeError

    monkeypatch.setattr(Clients, "answer", fail)
    with pytest.raises(RuntimeError):
        Api(cast.clinician).get("clients")
    assert scope.active() is None


def test_two_organizations_on_one_thread_see_their_own(cast: Cast) -> None:
    own, theirs = Api(cast.clinician), Api(cast.outsider)
    for _ in range(3):
        assert len(own.get("clients").json()["results"]) == 1
        assert theirs.get("clients").json()["results"] == []
    with pytest.raises(Unscoped):
        Client.objects.count()


def test_a_token_beside_a_session_of_another_organization_wins(cast: Cast) -> None:
    browser = Browser(headers=Api(cast.clinician).headers)
    assert browser.login(email=cast.outsider.email, password=PASSWORD)
    api = Api(cast.clinician)
    assert api.get("me").json()["email"] == cast.clinician.email
    assert scope.active() is None


def test_a_session_reads_and_writes_only_with_the_csrf_token(cast: Cast) -> None:
    browser = Browser(enforce_csrf_checks=True)
    assert browser.login(email=cast.clinician.email, password=PASSWORD)
    assert browser.get("/api/v1/me").status_code == 200
    body = {"device": "laptop"}
    refused = browser.post("/api/v1/tokens", body, content_type="application/json")
    assert problem(refused, 403)["code"] == "not_allowed"


def test_a_fault_of_ours_is_a_problem_without_internals(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(self: Any, *args: Any) -> None:
        raise RuntimeError("a secret of the machine")

    monkeypatch.setattr(Clients, "answer", fail)

    api = Api(cast.clinician, datetime.now(UTC))
    browser = Browser(headers=api.headers, raise_request_exception=False)
    found = browser.get("/api/v1/clients")
    assert problem(found, 500)["code"] == "error"
    assert b"secret" not in found.content
