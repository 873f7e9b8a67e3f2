"""Shared ground of the tests: quiet wake-ups and the cast.

The network is closed but for loopback by the options in pyproject.toml.
"""

from __future__ import annotations

import os
from uuid import uuid4

import pytest
from django.conf import settings as django
from django.core.cache import cache
from hypothesis import settings

from tests.cast import Cast, make_cast

# A run that decides whether a change lands draws the same examples every time; at a
# desk they differ, so that new ones are found where somebody can look at them.
settings.register_profile("desk", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "desk")


@pytest.fixture(autouse=True)
def _no_wake_ups(monkeypatch: pytest.MonkeyPatch) -> None:
    """Tests drive the tasks themselves; a wake-up would only fill the broker."""
    from reminders import tasks

    monkeypatch.setattr(tasks, "_wake", lambda task, *args: None)


@pytest.fixture(autouse=True)
def _no_throttle_history() -> None:
    """Calls of another test do not count as this test's.

    On Redis the run's other processes share the cache, and emptying it would take
    their counts and wake-ups too: there each test has keys of its own.
    """
    if django.REDIS_URL:
        cache.key_prefix = uuid4().hex
    else:
        cache.clear()


@pytest.fixture
def cast(db: None) -> Cast:
    """Two organizations with people and one client each; see `tests.cast`."""
    return make_cast()
