"""A served clinic and headless Chromium to look at it with."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from clinic import scope
from programs import stepping
from tests.cast import (
    NUMBER,
    PASSWORD,
    SENDING,
    Cast,
    enroll,
    make_cast,
    plan,
    prescribe,
)
from tests.journeys.day import TOKEN, Day

# Playwright's loop makes Django think that queries run inside async code.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
EXECUTABLE = os.environ.get("CHROMIUM", "/usr/bin/chromium")
SECOND = "+12125550117"


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=EXECUTABLE, args=FLAGS)
        yield browser
        browser.close()


@dataclass
class Served:
    """The address, the people, and the day that lies behind them."""

    url: str
    cast: Cast
    day: Day


@pytest.fixture
def served(transactional_db: None, live_server: Any, settings: Any) -> Served:
    """A clinic in which one client does well and another spreads, as of now."""
    settings.TWILIO_AUTH_TOKEN = TOKEN
    began = datetime.now(UTC) - timedelta(days=2)
    cast = make_cast(began)
    with scope.within(cast.organization.id):
        second = enroll(
            cast.site, cast.clinician, now=began, name="Omar Reyes", number=SECOND
        )
    review = (datetime.now(UTC) + timedelta(days=9)).date()
    elbows, press_up = plan().items
    ranged = (replace(elbows, hold_low=5, hold_high=60), press_up)
    for client in (cast.client, second):
        program = prescribe(
            client, cast.clinician, now=began, review_on=review, items=ranged
        )
        with scope.within(cast.organization.id):
            stepping.approve(
                program, elbows.exercise, on=True, by=cast.clinician, now=began
            )
    day = Day(began)
    day.work()
    for number in (NUMBER, SECOND):
        day.text(number, SENDING, "ok")
    day.jump(hours=29.5).forward(minutes=30)
    day.text(NUMBER, SENDING, "done, pain 3/10, leg better")
    day.text(SECOND, SENDING, "done 4, thigh")
    day.jump(hours=17).forward(minutes=30)
    day.text(SECOND, SENDING, "worse today 7, now down to my calf and foot tingles")
    return Served(live_server.url, cast, day)


@pytest.fixture
def page(chromium: Browser, served: Served) -> Iterator[Page]:
    """A signed-in clinician's browser; any script error or CSP refusal fails."""
    context = chromium.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on(
        "console",
        lambda line: complaints.append(line.text) if line.type == "error" else None,
    )
    sign_in(page, served, served.cast.clinician.email)
    yield page
    context.close()
    assert complaints == []


def sign_in(page: Page, served: Served, email: str) -> None:
    page.goto(f"{served.url}/accounts/login/")
    page.fill("input[name=login]", email)
    page.fill("input[name=password]", PASSWORD)
    page.locator("main form button").first.click()
    page.wait_for_url(lambda url: "login" not in url)
