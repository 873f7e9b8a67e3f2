"""Quiet hours on the client's clock, over midnight and over clock changes."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reminders.logic.quiet import is_quiet, next_allowed

NIGHT = ((time(21), time(8)),)
NEW_YORK = ZoneInfo("America/New_York")
WALL = st.builds(time, st.integers(0, 23), st.integers(0, 59))
PAIR = st.tuples(WALL, WALL).filter(lambda pair: pair[0] != pair[1])
YEAR_2026 = st.integers(0, 365 * 24 * 60).map(
    lambda minute: datetime(2026, 1, 1, tzinfo=UTC) + timedelta(minutes=minute)
)


@pytest.mark.parametrize(
    ("wall", "quiet"),
    [
        ("20:59", False),
        ("21:00", True),
        ("03:00", True),
        ("07:59", True),
        ("08:00", False),
        ("12:00", False),
    ],
)
def test_night_runs_over_midnight(wall: str, quiet: bool) -> None:
    assert is_quiet(time.fromisoformat(wall), NIGHT) is quiet


@pytest.mark.parametrize(
    ("local", "expected"),
    [
        (
            datetime(2026, 5, 4, 12, tzinfo=NEW_YORK),
            datetime(2026, 5, 4, 16, tzinfo=UTC),
        ),
        (
            datetime(2026, 5, 4, 22, tzinfo=NEW_YORK),
            datetime(2026, 5, 5, 12, tzinfo=UTC),
        ),
        (
            datetime(2026, 3, 7, 22, tzinfo=NEW_YORK),
            datetime(2026, 3, 8, 12, tzinfo=UTC),
        ),
        (
            datetime(2026, 10, 31, 22, tzinfo=NEW_YORK),
            datetime(2026, 11, 1, 13, tzinfo=UTC),
        ),
    ],
)
def test_next_allowed_time_is_the_local_morning(
    local: datetime, expected: datetime
) -> None:
    found = next_allowed(local, zone=NEW_YORK, quiet=NIGHT)
    assert found == expected


def test_quiet_until_the_repeated_hour_waits_for_its_second_pass() -> None:
    second_pass = datetime(2026, 11, 1, 6, 15, tzinfo=UTC)
    quiet = ((time(1), time(1, 30)),)
    found = next_allowed(second_pass, zone=NEW_YORK, quiet=quiet)
    assert found == datetime(2026, 11, 1, 6, 30, tzinfo=UTC)


def test_a_whole_quiet_day_is_refused() -> None:
    quiet = ((time(8), time(21)), (time(21), time(8)))
    with pytest.raises(ValueError, match="whole day"):
        next_allowed(datetime(2026, 5, 4, tzinfo=UTC), zone=NEW_YORK, quiet=quiet)


def test_a_time_without_zone_is_refused() -> None:
    naive = datetime(2026, 5, 4)  # noqa: DTZ001  the point of the test
    with pytest.raises(ValueError, match="aware"):
        next_allowed(naive, zone=NEW_YORK, quiet=NIGHT)


@given(at=YEAR_2026, quiet=st.tuples(PAIR))
def test_next_allowed_is_never_quiet_and_never_early(
    at: datetime, quiet: tuple[tuple[time, time]]
) -> None:
    for name in ("America/New_York", "Australia/Lord_Howe", "Asia/Kathmandu"):
        zone = ZoneInfo(name)
        found = next_allowed(at, zone=zone, quiet=quiet)
        assert at <= found < at + timedelta(hours=26)
        assert not is_quiet(found.astimezone(zone).time(), quiet)
