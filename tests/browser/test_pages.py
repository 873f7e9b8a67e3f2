"""Every page in a real browser: no script error, no axe violation, wide and narrow."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from clinic import scope
from reminders.models import Alert
from tests.browser.conftest import Served, sign_in

pytestmark = pytest.mark.browser
WIDTHS = (1280, 390)
PAGES = (
    "/triage",
    "/clients",
    "/clients/{client}",
    "/clients/{client}/what-if",
    "/clients/{client}/program",
    "/clients/{client}/handout",
    "/enroll",
    "/desk",
    "/exercises",
    "/exercises/press_up",
    "/programs",
    "/sites",
    "/sites/{site}",
    "/settings",
)
AXE = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
}


def violations(page: Page) -> list[str]:
    results = Axe().run(page, options=AXE)
    found: list[dict[str, Any]] = results.response["violations"]
    return [
        f"{each['id']}: {node['html'][:160]}"
        for each in found
        for node in each["nodes"]
    ]


def address(served: Served, path: str) -> str:
    ids = {"client": served.cast.client.id, "site": served.cast.site.id}
    return served.url + path.format(**ids)


@pytest.mark.parametrize("path", PAGES)
def test_a_page_stands_wide_and_narrow_without_violations(
    page: Page, served: Served, path: str, tmp_path: Path
) -> None:
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        response = page.goto(address(served, path))
        assert response is not None
        assert response.status == 200
        overflow = page.evaluate(
            "document.documentElement.scrollWidth - window.innerWidth"
        )
        assert overflow <= 0, f"{path} is {overflow} px too wide at {width}"
        assert violations(page) == []


@pytest.mark.parametrize("path", ["/triage", "/clients/{client}"])
def test_the_dark_page_has_no_violation(page: Page, served: Served, path: str) -> None:
    page.emulate_media(color_scheme="dark")
    page.goto(address(served, path))
    assert violations(page) == []


def test_the_sign_in_page_has_no_violation(chromium: Any, served: Served) -> None:
    page = chromium.new_page()
    page.goto(f"{served.url}/accounts/login/")
    assert violations(page) == []
    page.close()


def test_triage_shows_why_and_a_decision_is_made_in_place(
    page: Page, served: Served
) -> None:
    page.goto(f"{served.url}/triage")
    assert "Omar Reyes" in page.inner_text("main")
    assert page.locator("mark").count() > 0
    page.get_by_role("button", name="Acknowledge").first.click()
    page.get_by_text("cknowledged").first.wait_for(timeout=5000)


def test_the_triage_page_works_without_javascript(
    chromium: Any, served: Served
) -> None:
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    sign_in(page, served, served.cast.clinician.email)
    page.goto(f"{served.url}/triage")
    page.get_by_role("button", name="Acknowledge").first.click()
    page.wait_for_load_state()
    with scope.within(served.cast.organization.id):
        assert Alert.objects.get().state == "acknowledged"
    context.close()
