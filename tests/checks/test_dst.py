"""Reminder times over clock changes, against two calendar libraries.

Rule: RFC 5545 section 3.3.5, a local date-time the clocks skip is read with the
offset before the gap, one they repeat means the first. Zones from the tz database.
"""

from contextlib import suppress
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import icalendar
import pytest
from dateutil import rrule, tz
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from reminders.logic.quiet import is_quiet
from reminders.logic.schedule import (
    PlanError,
    ReminderPlan,
    occurrences,
    slots,
    stable_offset,
)

ZONES = [
    "America/New_York",
    "America/St_Johns",
    "America/Santiago",  # changes at midnight
    "Europe/London",
    "Africa/Cairo",  # changes at midnight
    "Africa/Casablanca",
    "Asia/Kathmandu",  # +05:45, no change
    "Australia/Sydney",
    "Australia/Lord_Howe",  # half an hour
    "Pacific/Chatham",  # +12:45, changes at 02:45
    "UTC",
]
NEGATIVE_SUMMER = "Europe/Dublin"
"""Winter is the exception there; dateutil 2.9 gets its October hour wrong."""
YEAR = (datetime(2026, 1, 1, tzinfo=UTC), datetime(2027, 1, 1, tzinfo=UTC))


def plan(zone: str, **changes: Any) -> ReminderPlan:
    values: dict[str, Any] = {
        "times_per_day": 6,
        "waking_from": time(8),
        "waking_to": time(20),
        "zone": ZoneInfo(zone),
        "starts_on": date(2025, 12, 30),
    }
    return ReminderPlan(**(values | changes))


def by_rrule(zone: str, walls: list[time]) -> list[datetime]:
    """The same daily wall times by another library's rules and zone files."""
    place = tz.gettz(zone)
    found: list[datetime] = []
    for wall in walls:
        start = datetime.combine(date(2025, 12, 30), wall, tzinfo=place)
        daily = rrule.rrule(rrule.DAILY, dtstart=start, count=370)
        found += [tz.resolve_imaginary(local).astimezone(UTC) for local in daily]
    return sorted(at for at in found if YEAR[0] <= at < YEAR[1])


@pytest.mark.parametrize("zone", ZONES)
def test_a_year_of_days_agrees_with_rrule(zone: str) -> None:
    walls = [time(hour, 17) for hour in range(8, 20, 2)]
    assert occurrences(plan(zone, offset_minutes=17), *YEAR) == by_rrule(zone, walls)


@pytest.mark.parametrize("zone", ZONES)
def test_a_year_of_nights_agrees_with_rrule(zone: str) -> None:
    night = plan(zone, waking_from=time(0, 30), waking_to=time(12, 30), times_per_day=6)
    walls = [time(hour, 30) for hour in range(0, 12, 2)]
    assert occurrences(night, *YEAR) == by_rrule(zone, walls)


CHANGES = [
    ("America/New_York", "20260308T023000", "2026-03-08T07:30+00:00", True),
    ("America/New_York", "20261101T013000", "2026-11-01T05:30+00:00", False),
    ("America/New_York", "20260309T023000", "2026-03-09T06:30+00:00", False),
    ("Europe/Dublin", "20260329T013000", "2026-03-29T01:30+00:00", True),
    ("Europe/Dublin", "20261025T023000", "2026-10-25T02:30+00:00", False),
    ("Europe/London", "20260329T013000", "2026-03-29T01:30+00:00", True),
    ("Europe/London", "20261025T013000", "2026-10-25T00:30+00:00", False),
    ("Australia/Lord_Howe", "20261004T021500", "2026-10-03T15:45+00:00", True),
    ("Australia/Lord_Howe", "20260405T014500", "2026-04-04T14:45+00:00", False),
    ("Pacific/Chatham", "20260927T030000", "2026-09-26T14:15+00:00", True),
    ("Asia/Kathmandu", "20260308T023000", "2026-03-07T20:45+00:00", False),
]


@pytest.mark.parametrize(("zone", "local", "expected", "moved"), CHANGES)
def test_a_changed_hour_agrees_with_a_calendar_file(
    zone: str, local: str, expected: str, moved: bool
) -> None:
    event = icalendar.Event.from_ical(
        f"BEGIN:VEVENT\r\nUID:1\r\nDTSTART;TZID={zone}:{local}\r\nEND:VEVENT\r\n"
    )
    start = event.decoded("DTSTART")
    one = plan(zone, times_per_day=1, waking_from=start.time(), waking_to=time(21))
    (slot,) = slots(one, start.date())
    assert slot.at_utc == start.astimezone(UTC) == datetime.fromisoformat(expected)
    assert slot.dst_adjusted is moved


def test_two_slots_around_the_gap_keep_an_hour_between() -> None:
    early = plan(
        "America/New_York",
        waking_from=time(1, 30),
        waking_to=time(6),
        times_per_day=3,
    )
    found = slots(early, date(2026, 3, 8))
    assert len(found) == 3
    assert all(b.at_utc - a.at_utc >= timedelta(hours=1) for a, b in pairwise(found))


def test_a_window_the_clocks_skip_whole_moves_later() -> None:
    skipped = plan(
        "America/New_York", waking_from=time(2), waking_to=time(3), times_per_day=1
    )
    (slot,) = slots(skipped, date(2026, 3, 8))
    assert slot.at_utc == datetime(2026, 3, 8, 7, tzinfo=UTC)
    assert slot.dst_adjusted


def test_a_date_the_zone_left_out_has_no_reminder() -> None:
    apia = plan("Pacific/Apia", starts_on=date(2011, 12, 1))
    days = [date(2011, 12, 29), date(2011, 12, 30), date(2011, 12, 31)]
    assert [len(slots(apia, day)) for day in days] == [6, 0, 6]


WALL = st.builds(time, st.integers(0, 23), st.sampled_from([0, 15, 30, 45]))
PAIR = st.tuples(WALL, WALL).filter(lambda pair: pair[0] != pair[1])
CHANGE_DAYS = [
    date.fromisoformat(f"{c[1][:4]}-{c[1][4:6]}-{c[1][6:8]}") for c in CHANGES
]
DAYS = st.sampled_from(CHANGE_DAYS) | st.dates(date(2026, 1, 1), date(2026, 12, 31))


@st.composite
def plans(draw: st.DrawFn) -> ReminderPlan:
    zone = draw(st.sampled_from([*ZONES, NEGATIVE_SUMMER]))
    first, last = sorted(draw(PAIR))
    values: dict[str, Any] = {
        "waking_from": first,
        "waking_to": last,
        "quiet": tuple(draw(st.lists(PAIR, max_size=2))),
        "offset_minutes": stable_offset(draw(st.binary(max_size=4)), 90),
    }
    for times_per_day in range(draw(st.integers(1, 12)), 0, -1):
        with suppress(PlanError):
            return plan(zone, times_per_day=times_per_day, **values)
    assume(False)
    raise AssertionError


def waking_minutes(one: ReminderPlan, day: date) -> int:
    """Real minutes of this date one may text in, counted one by one."""
    first = datetime.combine(day, time(), UTC) - timedelta(hours=15)
    locals_ = [
        (first + timedelta(minutes=n)).astimezone(one.zone) for n in range(54 * 60)
    ]
    return sum(
        local.date() == day
        and one.waking_from <= local.time() < one.waking_to
        and not is_quiet(local.time(), one.quiet)
        for local in locals_
    )


@settings(max_examples=250, deadline=None)
@given(one=plans(), day=DAYS)
def test_every_day_keeps_quiet_hours_spacing_and_count(
    one: ReminderPlan, day: date
) -> None:
    found = slots(one, day)
    locals_ = [slot.at_utc.astimezone(one.zone) for slot in found]
    assert all(local.date() == day for local in locals_)
    assert not any(is_quiet(local.time(), one.quiet) for local in locals_)
    assert all(b.at_utc - a.at_utc >= timedelta(hours=1) for a, b in pairwise(found))
    assert [slot.index for slot in found] == list(range(len(found)))
    if waking_minutes(one, day) >= 60 * one.times_per_day:
        assert len(found) == one.times_per_day


@settings(max_examples=60, deadline=None)
@given(one=plans(), day=DAYS, cut=st.integers(1, 47))
def test_planning_in_two_halves_equals_planning_at_once(
    one: ReminderPlan, day: date, cut: int
) -> None:
    start = datetime.combine(day, time(), UTC)
    middle, end = start + timedelta(hours=cut), start + timedelta(hours=48)
    whole = occurrences(one, start, end)
    assert occurrences(one, start, middle) + occurrences(one, middle, end) == whole
    assert whole == sorted(set(whole))
