"""The frame: sign-in pages, refusals and errors in the house's own dress."""

from __future__ import annotations

import pytest
from django.test import Client as Browser

from tests.cast import Cast

pytestmark = pytest.mark.django_db

OPEN_PAGES = (
    "/accounts/login/",
    "/accounts/password/reset/",
    "/accounts/password/reset/done/",
    "/accounts/signup/",
    "/accounts/inactive/",
)


@pytest.mark.parametrize("address", OPEN_PAGES)
def test_a_visitor_sees_our_pages_not_a_library_s(address: str) -> None:
    body = Browser().get(address).content.decode()
    assert "plumbline.css" in body
    assert "Not for emergencies" in body
    assert 'aria-label="Main"' not in body


def test_nobody_signs_up() -> None:
    response = Browser().get("/accounts/signup/")
    assert "Nobody signs up here" in response.content.decode()


def test_a_wrong_password_says_so_and_no_more(cast: Cast) -> None:
    values = {"login": cast.clinician.email, "password": "not the one at all"}
    body = Browser().post("/accounts/login/", values).content.decode()
    assert "Not signed in." in body
    assert cast.clinician.name not in body


def test_an_unknown_address_answers_404_in_the_frame(cast: Cast) -> None:
    browser = Browser()
    browser.force_login(cast.clinician)
    response = browser.get("/nowhere")
    assert response.status_code == 404
    assert "There is nothing here for you" in response.content.decode()


def test_no_page_carries_inline_style_or_script(cast: Cast) -> None:
    browser = Browser()
    browser.force_login(cast.clinician)
    body = browser.get("/accounts/password/change/").content.decode()
    assert "style=" not in body and "<style" not in body
    assert body.count("<script") == body.count("<script src=")


def test_a_stale_form_is_explained(cast: Cast) -> None:
    browser = Browser(enforce_csrf_checks=True)
    browser.force_login(cast.clinician)
    response = browser.post("/accounts/logout/")
    assert response.status_code == 403
    assert "The form was too old" in response.content.decode()
