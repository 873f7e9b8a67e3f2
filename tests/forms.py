"""Fill in a page's form as a person would: what is not changed stays as shown."""

from __future__ import annotations

from html.parser import HTMLParser
from typing import Any
from urllib.parse import urljoin

from django.http import QueryDict
from django.test import Client as Browser


class _Forms(HTMLParser):
    """Collects every form of a page with its action and the values shown."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[dict[str, Any]] = []
        self._select: str | None = None
        self._area: str | None = None
        self._first: bool = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        have = dict(attrs)
        if tag == "form":
            self.forms.append({"action": have.get("action") or "", "values": []})
        elif self.forms and tag == "input":
            self._input(have)
        elif self.forms and tag == "select":
            self._select, self._first = have.get("name"), True
        elif self.forms and tag == "option" and self._select:
            if "selected" in have or self._first:
                self._set(self._select, have.get("value") or "")
            self._first = False
        elif self.forms and tag == "textarea":
            self._area = have.get("name")
            if self._area:
                self._add(self._area, "")

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self._select = None
        if tag == "textarea":
            self._area = None

    def handle_data(self, data: str) -> None:
        if self._area:
            self._set(self._area, data.lstrip("\n"))

    def _input(self, have: dict[str, str | None]) -> None:
        name, kind = have.get("name"), have.get("type") or "text"
        if not name or kind in ("submit", "button"):
            return
        if kind in ("checkbox", "radio") and "checked" not in have:
            return
        self._add(name, have.get("value") or ("on" if kind == "checkbox" else ""))

    def _add(self, name: str, value: str) -> None:
        self.forms[-1]["values"].append((name, value))

    def _set(self, name: str, value: str) -> None:
        kept = [pair for pair in self.forms[-1]["values"] if pair[0] != name]
        self.forms[-1]["values"] = [*kept, (name, value)]


def fill(browser: Browser, url: str, *, with_field: str, **changes: Any) -> Any:
    """Open the page, change some fields of the form that has `with_field`, send it."""
    page = browser.get(url, follow=True)
    assert page.status_code == 200, (url, page.status_code)
    return send(browser, page, with_field=with_field, **changes)


def send(browser: Browser, page: Any, *, with_field: str, **changes: Any) -> Any:
    """Change some fields of a form on a page that is shown, and send it."""
    form = next(
        form
        for form in forms_of(page)
        if any(name == with_field for name, _ in form["values"])
        or with_field in form["action"]
    )
    data = QueryDict(mutable=True)
    for name, value in form["values"]:
        data.appendlist(name, value)
    for name, value in changes.items():
        data.setlist(name, value if isinstance(value, list) else [value])
    target = urljoin(page.request["PATH_INFO"], form["action"])
    kind = "application/x-www-form-urlencoded"
    return browser.post(target, data.urlencode(), content_type=kind, follow=True)


def forms_of(page: Any) -> list[dict[str, Any]]:
    """The forms of an answer with the values they show."""
    parser = _Forms()
    parser.feed(page.content.decode())
    return parser.forms
