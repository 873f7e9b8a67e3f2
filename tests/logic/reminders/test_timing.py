from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from reminders.logic.timing import SiteHours, act_by

NEW_YORK = ZoneInfo("America/New_York")
WEEK = {day: [(time(8), time(17))] for day in range(5)}
HOURS = SiteHours(NEW_YORK, WEEK, frozenset({date(2026, 5, 25)}))


def local(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=NEW_YORK)


@pytest.mark.parametrize("opened", ["2026-03-04T03:00", "2026-03-07T23:55"])
def test_an_emergency_is_for_fifteen_minutes_at_any_hour(opened):
    due = act_by("emergency", local(opened), HOURS)
    assert due - local(opened) == timedelta(minutes=15)


@pytest.mark.parametrize(
    ("opened", "due"),
    [
        ("2026-03-04T10:00", "2026-03-04T12:00"),
        ("2026-03-04T15:00", "2026-03-04T17:00"),
        ("2026-03-04T16:00", "2026-03-05T09:00"),
        ("2026-03-04T06:00", "2026-03-04T10:00"),
        ("2026-03-06T16:30", "2026-03-09T09:30"),  # over a weekend and a clock change
        ("2026-05-22T17:00", "2026-05-26T10:00"),  # over a weekend and a closure
    ],
)
def test_same_day_counts_two_open_hours(opened, due):
    assert act_by("same_day", local(opened), HOURS) == local(due)


@pytest.mark.parametrize(
    ("opened", "due"),
    [
        ("2026-03-04T10:00", "2026-03-05T12:00"),
        ("2026-03-04T02:00", "2026-03-04T12:00"),  # that morning is the next one
        ("2026-03-06T18:00", "2026-03-09T12:00"),
        ("2026-10-31T12:00", "2026-11-02T12:00"),  # the clock falls back between
        ("2026-05-22T10:00", "2026-05-26T12:00"),
    ],
)
def test_next_day_is_noon_of_the_next_working_day(opened, due):
    assert act_by("next_day", local(opened), HOURS) == local(due)


def test_review_is_the_end_of_the_next_working_day():
    due = act_by("review", local("2026-03-06T10:00"), HOURS)
    assert due == local("2026-03-09T17:00")


def test_a_lunch_break_does_not_count():
    split = SiteHours(NEW_YORK, {2: [(time(13), time(17)), (time(8), time(12))]})
    due = act_by("same_day", local("2026-03-04T11:30"), split)
    assert due == local("2026-03-04T14:30")


def test_an_afternoon_clinic_gets_its_first_two_hours():
    afternoons = SiteHours(NEW_YORK, {3: [(time(13), time(18))]})
    due = act_by("next_day", local("2026-03-04T10:00"), afternoons)
    assert due == local("2026-03-05T15:00")


def test_a_short_morning_ends_before_noon():
    mornings = SiteHours(NEW_YORK, {3: [(time(8), time(11))]})
    due = act_by("next_day", local("2026-03-04T10:00"), mornings)
    assert due == local("2026-03-05T11:00")


def test_an_hour_is_an_hour_when_the_clock_jumps_while_open():
    sundays = SiteHours(NEW_YORK, {6: [(time(1), time(8))]})
    due = act_by("same_day", local("2026-03-08T01:30"), sundays)
    assert due.astimezone(NEW_YORK) == local("2026-03-08T04:30")


@pytest.mark.parametrize(
    ("urgency", "hours_later"), [("same_day", 2), ("next_day", 24), ("review", 48)]
)
def test_a_site_without_hours_counts_day_and_night(urgency, hours_later):
    closed = SiteHours(NEW_YORK, {})
    opened = local("2026-03-04T10:00")
    assert act_by(urgency, opened, closed) - opened == timedelta(hours=hours_later)


def test_due_times_are_utc_and_never_before_opening():
    for hour in range(24 * 14):
        opened = datetime(2026, 3, 1, tzinfo=UTC) + timedelta(hours=hour)
        for urgency in ("emergency", "same_day", "next_day", "review"):
            due = act_by(urgency, opened, HOURS)
            assert due.tzinfo is UTC
            assert due > opened


def test_more_urgent_is_never_due_later():
    for hour in range(24 * 14):
        opened = datetime(2026, 3, 1, tzinfo=UTC) + timedelta(hours=hour)
        same_day = act_by("same_day", opened, HOURS)
        next_day = act_by("next_day", opened, HOURS)
        assert same_day <= next_day <= act_by("review", opened, HOURS)


@pytest.mark.parametrize(
    ("at", "is_open"),
    [
        ("2026-03-04T07:59", False),
        ("2026-03-04T08:00", True),
        ("2026-03-04T16:59", True),
        ("2026-03-04T17:00", False),
        ("2026-03-07T10:00", False),
        ("2026-05-25T10:00", False),
    ],
)
def test_a_site_is_open_inside_its_hours(at, is_open):
    assert HOURS.is_open(local(at)) is is_open


def test_the_next_opening_skips_weekend_and_closure():
    seen = HOURS.next_opening(local("2026-05-22T18:00"))
    assert seen == local("2026-05-26T08:00")
    assert SiteHours(NEW_YORK, {}).next_opening(local("2026-05-22T18:00")) is None


@pytest.mark.parametrize(
    ("weekly", "message"),
    [
        ({7: [(time(8), time(9))]}, "0 \\(Monday\\) to 6"),
        ({0: [(time(17), time(8))]}, "enter the earlier time first"),
        ({0: [(time(8), time(12)), (time(11), time(15))]}, "overlap at 11:00"),
    ],
)
def test_bad_opening_times_are_refused_with_the_day(weekly, message):
    with pytest.raises(ValueError, match=message):
        SiteHours(NEW_YORK, weekly)


def test_a_naive_time_and_an_unknown_urgency_are_refused():
    with pytest.raises(ValueError, match="no time zone"):
        act_by("review", datetime(2026, 3, 4), HOURS)  # noqa: DTZ001 - the bad input
    with pytest.raises(ValueError, match="unknown urgency"):
        act_by("soon", local("2026-03-04T10:00"), HOURS)
