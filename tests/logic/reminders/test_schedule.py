"""Reminder times of a day: even, shifted, refused when they cannot fit."""

from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from reminders.logic.schedule import (
    PlanError,
    ReminderPlan,
    Slot,
    key,
    not_after,
    occurrences,
    slots,
    stable_offset,
)

DAY = date(2026, 5, 4)
NIGHT = ((time(21), time(8)),)


def plan(**changes: Any) -> ReminderPlan:
    values: dict[str, Any] = {
        "times_per_day": 5,
        "waking_from": time(8),
        "waking_to": time(20),
        "zone": ZoneInfo("America/New_York"),
        "starts_on": DAY,
    }
    return ReminderPlan(**(values | changes))


def wall(found: list[Slot], zone: str = "America/New_York") -> list[str]:
    return [f"{slot.at_utc.astimezone(ZoneInfo(zone)):%H:%M}" for slot in found]


def test_reminders_are_evenly_spaced_over_the_waking_window() -> None:
    assert wall(slots(plan(), DAY)) == ["08:00", "10:24", "12:48", "15:12", "17:36"]


def test_offset_moves_the_whole_day_alike() -> None:
    moved = slots(plan(offset_minutes=17), DAY)
    assert wall(moved) == ["08:17", "10:41", "13:05", "15:29", "17:53"]


def test_quiet_hours_at_both_ends_narrow_the_window() -> None:
    found = slots(plan(waking_from=time(6), waking_to=time(23), quiet=NIGHT), DAY)
    assert wall(found) == ["08:00", "10:36", "13:12", "15:48", "18:24"]


def test_quiet_hours_at_noon_are_stepped_over() -> None:
    siesta = ((time(12), time(15)),)
    found = slots(plan(quiet=siesta, times_per_day=9), DAY)
    assert wall(found) == [
        "08:00", "09:00", "10:00", "11:00", "15:00", "16:00", "17:00", "18:00", "19:00",
    ]  # fmt: skip


def test_paused_early_and_late_days_have_none() -> None:
    day = timedelta(days=1)
    limited = plan(ends_on=DAY + 2 * day, paused_days=frozenset({DAY + day}))
    counts = [len(slots(limited, DAY + n * day)) for n in range(-1, 4)]
    assert counts == [0, 5, 0, 5, 0]


def test_occurrences_take_the_start_and_leave_the_end() -> None:
    first = datetime(2026, 5, 4, 12, tzinfo=UTC)
    found = occurrences(plan(), first, first + timedelta(days=1))
    assert found[0] == first
    assert len(found) == 5


def test_occurrences_refuse_a_time_without_zone() -> None:
    naive = datetime(2026, 5, 4, 12)  # noqa: DTZ001  the point of the test
    with pytest.raises(ValueError, match="aware"):
        occurrences(plan(), naive, datetime(2026, 5, 5, tzinfo=UTC))


@pytest.mark.parametrize(
    ("changes", "field", "hint"),
    [
        ({"waking_to": time(7)}, "waking_to", "before it begins at 08:00"),
        ({"waking_to": time(8)}, "waking_to", "later the same day"),
        ({"times_per_day": 0}, "times_per_day", "1 to 12"),
        ({"times_per_day": 13}, "times_per_day", "1 to 12"),
        ({"waking_to": time(12)}, "times_per_day", "holds 4"),
        ({"quiet": ((time(7), time(21)),)}, "quiet", "no waking time"),
        ({"quiet": ((time(7), time(7)),)}, "quiet", "two different times"),
        ({"ends_on": date(2026, 5, 3)}, "ends_on", "before the first"),
        ({"offset_minutes": -1}, "offset_minutes", "0 or more"),
        ({"waking_from": time(8, 0, 30)}, "waking_from", "whole minutes"),
        ({"waking_from": time(8, tzinfo=UTC)}, "waking_from", "local time"),
    ],
)
def test_a_plan_that_cannot_be_kept_is_refused(
    changes: dict[str, Any], field: str, hint: str
) -> None:
    with pytest.raises(PlanError, match=hint) as refused:
        plan(**changes)
    assert refused.value.field == field


def test_one_reminder_fits_a_window_shorter_than_the_gap() -> None:
    short = plan(times_per_day=1, waking_to=time(8, 30))
    assert wall(slots(short, DAY)) == ["08:00"]


def test_key_names_client_rule_date_and_slot() -> None:
    third = slots(plan(), DAY)[2]
    assert key("c7", "r1", third) == "rem:c7:r1:2026-05-04:2"


def test_a_reminder_is_stale_after_ninety_minutes() -> None:
    first, second, *_ = slots(plan(), DAY)
    assert not_after(first, second) - first.at_utc == timedelta(minutes=90)
    assert not_after(first) - first.at_utc == timedelta(minutes=90)


def test_a_reminder_is_never_sent_past_the_next_one() -> None:
    first, second, *_ = slots(plan(times_per_day=12), DAY)
    assert not_after(first, second) == second.at_utc


def test_offsets_are_stable_and_spread() -> None:
    found = [stable_offset(f"client-{n}", 30) for n in range(3000)]
    assert found == [stable_offset(f"client-{n}".encode(), 30) for n in range(3000)]
    counts = [found.count(minute) for minute in range(30)]
    assert min(counts) > 60
    assert max(counts) < 140


def test_an_offset_needs_some_spread() -> None:
    with pytest.raises(ValueError, match="at least 1"):
        stable_offset("client", 0)
