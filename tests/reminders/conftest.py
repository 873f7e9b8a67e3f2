"""A running day for the writers' tests: one client confirmed on a program."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from clinic import scope
from tests.cast import NOW, NUMBER, SENDING, Cast, prescribe
from tests.journeys.day import TOKEN, Day


@pytest.fixture(autouse=True)
def _token(settings: Any) -> None:
    settings.TWILIO_AUTH_TOKEN = TOKEN


@pytest.fixture
def day(cast: Cast) -> Day:
    """Monday 10:00 at the client's, nothing sent yet."""
    return Day(NOW)


@pytest.fixture
def running(cast: Cast, day: Day) -> Day:
    """The client answered the first text; reminders are planned."""
    prescribe(cast.client, cast.clinician)
    day.work()
    day.text(NUMBER, SENDING, "ok")
    day.work()
    return day


@pytest.fixture
def inside(cast: Cast) -> Iterator[Cast]:
    """The test itself looks at rows of the first organization."""
    with scope.within(cast.organization.id):
        yield cast
