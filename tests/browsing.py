"""A signed-in browser for page tests, and forms as bytes no browser would write."""

from __future__ import annotations

from typing import Any

from django.test import Client as Browser

from clinic.models import Staff

FORM = "application/x-www-form-urlencoded"
LONE_SURROGATE = b"%ED%A0%80"


def signed_in(staff: Staff) -> Browser:
    """A browser with the person's session."""
    browser = Browser()
    browser.force_login(staff)
    return browser


def post_raw(browser: Browser, path: str, body: bytes) -> Any:
    """Post a form body exactly as written, such as half a character."""
    return browser.post(path, body, content_type=FORM)


def page_of(response: Any) -> str:
    """The answer's text."""
    text: str = response.content.decode()
    return text
