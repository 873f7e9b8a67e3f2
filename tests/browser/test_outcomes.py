"""Outcome measures in a real browser: the clinic's page, and the client's small one."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page

from clinic import clock, scope
from programs import measuring, questions
from programs.models import Outcome
from tests.browser.conftest import Served
from tests.browser.test_pages import violations

pytestmark = pytest.mark.browser


def link(served: Served, measure: str) -> str:
    cast = served.cast
    with scope.within(cast.organization.id):
        cast.client.refresh_from_db()
        ask = measuring.ask(cast.client, measure, by=cast.clinician, now=clock.now())
    return f"{served.url}/q/{questions.token_of(ask)}"


def taken(served: Served, measure: str, *many: dict[str, Any]) -> None:
    cast = served.cast
    with scope.within(cast.organization.id):
        for answers in many:
            now = clock.now()
            measuring.record_in_clinic(
                cast.client,
                measure,
                answers,
                at=now,
                key=measuring.new_key(),
                by=cast.clinician,
                now=now,
            )


def too_wide(page: Page) -> int:
    return int(
        page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    )


def test_the_clinics_pages_of_measures_stand_wide_and_narrow(
    page: Page, served: Served
) -> None:
    taken(served, "rmdq", {"total": 14}, {"total": 9})
    paths = [f"/outcomes/{measure}" for measure in ("rmdq", "psfs", "odi")]
    for path in ("", *paths):
        for width in (1280, 390):
            page.set_viewport_size({"width": width, "height": 900})
            page.goto(f"{served.url}/clients/{served.cast.client.id}{path}")
            assert too_wide(page) <= 0, (path, width)
            assert violations(page) == [], (path, width)
    page.emulate_media(color_scheme="dark")
    page.goto(f"{served.url}/clients/{served.cast.client.id}/outcomes/rmdq")
    assert violations(page) == []


@pytest.mark.parametrize("measure", ["nprs", "rmdq", "grc"])
def test_the_clients_page_works_small_without_script_or_sign_in(
    chromium: Any, served: Served, measure: str
) -> None:
    context = chromium.new_context(
        java_script_enabled=False, viewport={"width": 320, "height": 600}
    )
    page = context.new_page()
    page.goto(link(served, measure))
    page.locator("input").nth(3).check()
    page.get_by_role("button", name="Send").click()
    assert "Thank you" in page.inner_text("h1")
    assert "911" in page.inner_text("main")
    context.close()
    with scope.within(served.cast.organization.id):
        assert Outcome.objects.get().source == "link"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_clients_page_has_no_violation(
    chromium: Any, served: Served, scheme: str
) -> None:
    taken(served, "psfs", {"activities": [{"name": "Climbing stairs", "rating": 4}]})
    context = chromium.new_context(
        viewport={"width": 320, "height": 600}, color_scheme=scheme
    )
    page = context.new_page()
    addresses = [link(served, measure) for measure in ("nprs", "rmdq", "psfs", "grc")]
    for address in (*addresses, f"{served.url}/q/none"):
        page.goto(address)
        assert too_wide(page) <= 0
        assert violations(page) == []
    context.close()
