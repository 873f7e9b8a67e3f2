"""API: the same call from several devices at the same moment."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client as Browser

from clinic import scope
from clinic.clock import now
from programs.models import HomeProgram, SessionReport
from tests.api import Api, plan_json, start_json
from tests.cast import Cast, make_cast

DEVICES = 6


@pytest.fixture
def cast(transactional_db: None) -> Cast:
    return make_cast(now())


def at_once(send: Callable[[int], Any]) -> list[Any]:
    """The answers to calls that start together, each on its own connection."""

    def one(number: int) -> Any:
        try:
            return send(number)
        finally:
            connection.close()

    with ThreadPoolExecutor(DEVICES) as pool:
        return list(pool.map(one, range(DEVICES)))


def posted(cast: Cast, path: str, body: Any) -> list[Any]:
    """The answers to the same body from several devices, at the real time."""
    headers = Api(cast.clinician, now()).headers

    def send(number: int) -> Any:
        browser = Browser(headers=headers, raise_request_exception=False)
        return browser.post(f"/api/v1/{path}", body, content_type="application/json")

    return at_once(send)


def test_a_report_sent_at_once_from_several_devices_is_kept_once(cast: Cast) -> None:
    body = {"key": str(uuid4()), "at": now().isoformat(), "pain": 4}
    found = posted(cast, f"clients/{cast.client.id}/reports", body)
    assert [answer.status_code for answer in found] == [201] * DEVICES
    assert len({answer.json()["id"] for answer in found}) == 1
    with scope.within(cast.organization.id):
        assert SessionReport.objects.count() == 1


def test_of_several_programs_prescribed_at_once_one_runs(cast: Cast) -> None:
    body = {
        "plan": plan_json(review_on=now().date().isoformat()),
        "start": start_json(),
    }
    found = posted(cast, f"clients/{cast.client.id}/programs", body)
    statuses = sorted(answer.status_code for answer in found)
    assert statuses == [201] + [409] * (DEVICES - 1)
    with scope.within(cast.organization.id):
        assert HomeProgram.objects.count() == 1
