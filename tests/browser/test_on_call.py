"""Putting away, the page a text leads to and the unwatched banner, in a browser."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from playwright.sync_api import Page

from clinic import scope
from reminders.models import Alert
from tests.browser.conftest import Served, sign_in
from tests.browser.test_pages import WIDTHS, violations

pytestmark = pytest.mark.browser
CODE = "abcdefgh23"


def stands(page: Page) -> None:
    """Wide and narrow, without a violation and without sideways scrolling."""
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        over = "document.documentElement.scrollWidth - window.innerWidth"
        assert page.evaluate(over) <= 0, (page.url, width)
        assert violations(page) == []


def test_an_alert_is_put_away_and_brought_back(page: Page, served: Served) -> None:
    page.goto(f"{served.url}/triage")
    page.get_by_role("link", name="Put away").click()
    page.wait_for_load_state()
    stands(page)
    day = datetime.now(UTC) + timedelta(days=3)
    page.fill("input[name=until]", f"{day:%Y-%m-%d}")
    page.fill("textarea[name=reason]", "Spoke with him; the next visit is on that day")
    page.get_by_role("button", name="Put away").click()
    page.get_by_text("Put away until a day").wait_for(timeout=5000)
    stands(page)
    page.get_by_role("button", name="Bring back now").click()
    page.get_by_text("Back on the list").wait_for(timeout=5000)


def test_the_page_of_a_page_stands(page: Page, served: Served) -> None:
    with scope.within(served.cast.organization.id):
        Alert.objects.update(page_code=CODE)
    page.goto(f"{served.url}/p/{CODE}")
    assert "This alert needs you" in page.inner_text("main")
    stands(page)
    page.get_by_role("button", name="Acknowledge").first.click()
    page.get_by_text("cknowledged").first.wait_for(timeout=5000)


def test_a_lead_sees_the_banner_and_the_hours_of_the_chain(
    chromium: Any, served: Served
) -> None:
    with scope.within(served.cast.organization.id):
        served.cast.site.on_call.all().delete()
    page = chromium.new_page()
    sign_in(page, served, served.cast.lead.email)
    page.goto(f"{served.url}/clients")
    assert "Nobody is on call at Elm Row" in page.inner_text("main")
    stands(page)
    page.get_by_role("link", name="Set the on-call chain").click()
    page.wait_for_load_state()
    stands(page)
    page.close()
