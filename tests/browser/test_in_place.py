"""What happens on a page without leaving it: deciding, news, and the demo's phones."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

from clinic import clock, scope
from reminders import gateways
from reminders.gateways.phones import Phones
from reminders.models import Inbound
from tests.browser.conftest import SECOND, Served
from tests.browser.test_pages import violations
from tests.cast import NUMBER, SENDING

pytestmark = pytest.mark.browser
ASK_AGAIN = "htmx.ajax('GET', '/triage', {target: '#triage-list', swap: 'outerHTML'})"


@pytest.fixture
def demo(settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The clinic is a demo: phones exist, the clock can be moved."""
    settings.DEMO, settings.DATA_DIR = True, tmp_path
    monkeypatch.setattr(clock, "_forward", None)
    monkeypatch.setattr(gateways, "current", Phones)


def test_a_decision_on_the_list_replaces_its_card(page: Page, served: Served) -> None:
    page.goto(f"{served.url}/triage")
    page.get_by_role("link", name="Decide on Omar Reyes").click()
    page.get_by_label("Reduce: ask for less").check()
    page.get_by_label("Leave out").first.check()
    page.get_by_label("Note").fill("rest first")
    page.get_by_role("button", name="Decide").click()
    page.get_by_text("Decided: Reduce").wait_for(timeout=5000)
    assert page.url.endswith("/triage")
    assert page.get_by_text("rest first").is_visible()


def test_news_comes_on_top_and_leaves_an_open_form_alone(
    page: Page, served: Served
) -> None:
    page.goto(f"{served.url}/triage")
    page.get_by_role("link", name="Decide on Omar Reyes").click()
    page.get_by_label("Note").fill("half written")
    served.day.now = datetime.now(UTC)
    served.day.text(NUMBER, SENDING, "numb between my legs and cant pee")
    page.evaluate(ASK_AGAIN)
    page.get_by_role("link", name="Ines Calder", exact=True).wait_for(timeout=5000)
    assert "Ines Calder" in page.locator("#cards > li").first.inner_text()
    assert page.get_by_label("Note").input_value() == "half written"


def test_parts_are_counted_while_a_text_is_typed(page: Page, served: Served) -> None:
    page.goto(f"{served.url}/clients/{served.cast.client.id}")
    page.get_by_label("Text in English").press_sequentially("Your back pain")
    page.get_by_text("A bystander could read").wait_for(timeout=5000)
    assert "14 characters, 1 part" in page.inner_text("#text-count")
    assert violations(page) == []


@pytest.mark.usefixtures("demo")
@pytest.mark.parametrize("width", [1280, 390, 320])
def test_the_phones_stand_wide_and_narrow(
    page: Page, served: Served, width: int
) -> None:
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(f"{served.url}/phones")
    over = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert over <= 0
    assert violations(page) == []


@pytest.mark.usefixtures("demo")
def test_a_phone_answers_in_place_and_is_ready_for_the_next(
    page: Page, served: Served
) -> None:
    page.goto(f"{served.url}/phones")
    words = page.get_by_label("Text from Omar Reyes")
    words.fill("done, 6, calf")
    words.locator("xpath=../button").click()
    page.get_by_text("done, 6, calf").wait_for(timeout=5000)
    assert page.get_by_label("Text from Omar Reyes").input_value() == ""
    with scope.within(served.cast.organization.id):
        latest = Inbound.objects.order_by("-received_at").first()
        assert latest is not None
        assert latest.from_number == SECOND
