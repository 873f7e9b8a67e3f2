"""Sign-in through the form, as a person does it."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client as Browser

from tests.cast import PASSWORD, Cast

LOGIN = "/accounts/login/"


@pytest.fixture(autouse=True)
def _fresh_limits() -> None:
    """Failed tries are counted in the cache, which outlives a test."""
    cache.clear()


def sign_in(email: str, password: str) -> tuple[Browser, Any]:
    browser = Browser()
    return browser, browser.post(LOGIN, {"login": email, "password": password})


def test_a_person_signs_in_and_lands_on_their_first_page(cast: Cast) -> None:
    browser, response = sign_in(cast.clinician.email, PASSWORD)
    assert response.status_code == 302
    assert browser.get("/", follow=True).redirect_chain[-1][0] == "/triage"


def test_the_session_is_new_after_sign_in_and_gone_after_sign_out(cast: Cast) -> None:
    browser = Browser()
    browser.get(LOGIN)
    before = browser.cookies.get("session")
    browser.post(LOGIN, {"login": cast.clinician.email, "password": PASSWORD})
    after = browser.cookies["session"].value
    assert before is None or before.value != after
    browser.post("/accounts/logout/")
    old = Browser()
    old.cookies["session"] = after
    assert old.get("/triage").status_code == 302


def test_a_wrong_password_and_an_unknown_person_get_the_same_words(cast: Cast) -> None:
    _, wrong = sign_in(cast.clinician.email, "not the password at all")
    _, unknown = sign_in("nobody@harrow.example", "not the password at all")
    assert wrong.status_code == unknown.status_code == 200
    errors = [page.context["form"].errors["__all__"] for page in (wrong, unknown)]
    assert errors[0] == errors[1]


def test_guessing_is_slowed_down(cast: Cast) -> None:
    answers = [
        sign_in(cast.clinician.email, f"guess number {n} of many")[1] for n in range(8)
    ]
    said = " ".join(answers[-1].content.decode().split())
    assert answers[-1].status_code == 429 or "Too many failed" in said


def test_nobody_signs_up(cast: Cast) -> None:
    response = Browser().post(
        "/accounts/signup/", {"email": "x@example.com", "password1": PASSWORD}
    )
    assert response.status_code == 200
    assert type(cast.owner).objects.filter(email="x@example.com").count() == 0


def test_a_closed_account_does_not_get_in(cast: Cast) -> None:
    type(cast.desk).objects.filter(pk=cast.desk.pk).update(is_active=False)
    browser, _ = sign_in(cast.desk.email, PASSWORD)
    assert browser.get("/clients").status_code == 302


@pytest.mark.parametrize("path", ["/triage", "/clients", "/sites", "/staff", "/desk"])
def test_every_page_asks_who_you_are(db: None, path: str) -> None:
    response = Browser().get(path)
    assert response.status_code == 302
    assert response["Location"].startswith(LOGIN)


def test_the_policy_headers_stand_on_every_answer(db: None) -> None:
    response = Browser().get(LOGIN)
    policy = response["Content-Security-Policy"]
    assert "frame-ancestors 'none'" in policy
    assert "unsafe-inline" not in policy
    assert response["X-Content-Type-Options"] == "nosniff"
    assert "no-store" in response["Cache-Control"]
