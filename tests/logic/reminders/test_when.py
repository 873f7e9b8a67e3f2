"""A moment in words for a page."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from reminders.logic.when import ago, day, when

NOW = datetime(2026, 3, 2, 15, 0, tzinfo=UTC)
ZONE = ZoneInfo("America/New_York")


@pytest.mark.parametrize(
    ("hours", "said"),
    [
        (2.5, "12:30"),
        (-9, "01:00"),
        (-11, "Sun 23:00"),
        (26, "Tue 12:00"),
        (24 * 20, "Mar 22, 11:00"),  # summer time began on March 8
        (-24 * 100, "Nov 22, 2025, 10:00"),
    ],
)
def test_a_moment_is_as_short_as_it_can_be(hours: float, said: str) -> None:
    assert when(NOW + timedelta(hours=hours), zone=ZONE, now=NOW) == said


def test_a_day_names_the_year_only_when_it_is_another() -> None:
    assert day(NOW, zone=ZONE, now=NOW) == "Mar 2"
    assert day(NOW - timedelta(days=365), zone=ZONE, now=NOW) == "Mar 2, 2025"


@pytest.mark.parametrize(
    ("minutes", "said"),
    [
        (0, "just now"),
        (5, "5 min ago"),
        (59, "59 min ago"),
        (61, "1 h ago"),
        (2881, "2 days ago"),
    ],
)
def test_how_long_ago(minutes: int, said: str) -> None:
    assert ago(NOW - timedelta(minutes=minutes), NOW) == said
