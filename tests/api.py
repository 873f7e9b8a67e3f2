"""A caller of the API with a device token, at a moment of its own."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import time_machine
from django.test import Client as Browser

from clinic import pairing
from clinic.models import Staff
from programs.plans import PRECAUTIONS
from tests.cast import NOW

ROOT = "/api/v1/"


class Api:
    """Calls as a person does from their device; `None` calls without a token."""

    def __init__(self, staff: Staff | None, now: datetime = NOW) -> None:
        self.now = now
        self.headers = {}
        if staff is not None:
            _, token = pairing.issue(staff, "a test", now=now)
            self.headers = {"Authorization": f"Bearer {token}"}

    def get(self, path: str, **query: Any) -> Any:
        return self.call("get", path, query)

    def post(self, path: str, body: Any = None) -> Any:
        return self.call("post", path, body)

    def patch(self, path: str, body: Any) -> Any:
        return self.call("patch", path, body)

    def put(self, path: str, body: Any = None) -> Any:
        return self.call("put", path, body)

    def delete(self, path: str) -> Any:
        return self.call("delete", path, None)

    def call(self, method: str, path: str, body: Any) -> Any:
        """One call at this caller's moment; a dict body travels as JSON."""
        send = getattr(Browser(headers=self.headers), method)
        with time_machine.travel(self.now, tick=False):
            if method == "get":
                return send(ROOT + path, body)
            sent = {} if body is None else body
            return send(ROOT + path, sent, content_type="application/json")


def plan_json(**changes: Any) -> dict[str, Any]:
    """The program of `tests.cast.plan` as the API takes it."""
    values: dict[str, Any] = {
        "items": [
            {
                "exercise": "prone_on_elbows",
                "hold_seconds": 30,
                "repetitions": 3,
                "sets": 1,
            },
            {"exercise": "press_up", "repetitions": 10, "sets": 1},
        ],
        "times_per_day": 5,
        "waking_from": "08:00",
        "waking_to": "20:30",
        "stop_rules": ["emergency", "numb_or_weak", "leg_farther", "stays_worse"],
        "review_on": "2026-03-12",
    }
    return values | changes


def template_plan_json(**changes: Any) -> dict[str, Any]:
    """The same program as a template holds it."""
    values = plan_json(review_after_days=10)
    del values["review_on"]
    return values | changes


def start_json(**changes: Any) -> dict[str, Any]:
    """The starting point of `tests.cast.start` as the API takes it."""
    values: dict[str, Any] = {
        "pain": 5,
        "reach_right": "thigh",
        "directional_preference": "extension",
        "precautions": dict.fromkeys(PRECAUTIONS, False),
    }
    return values | changes


def problem(response: Any, status: int) -> dict[str, Any]:
    """The problem details of a refusal; fails when it is another answer."""
    assert response.status_code == status, response.content
    assert response["Content-Type"] == "application/problem+json"
    found: dict[str, Any] = response.json()
    assert found["status"] == status
    return found
