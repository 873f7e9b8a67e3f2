"""What may be put away, and when it is back."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest

from reminders.logic import reason_words
from reminders.logic.snooze import NEVER_PUT_AWAY, back_at, may_be_put_away
from reminders.logic.timing import SiteHours
from reminders.logic.warning_signs import WARNING_KINDS

HOURS = SiteHours(
    ZoneInfo("America/New_York"), {day: [(time(8), time(18))] for day in range(5)}
)
MONDAY_NIGHT = datetime(2026, 3, 3, 4, 30, tzinfo=UTC)  # Monday 23:30 in New York


@pytest.mark.parametrize(
    ("urgency", "reasons", "may"),
    [
        ("review", ["skipping"], True),
        ("next_day", ["spreading", "silent"], True),
        ("same_day", ["spreading"], True),
        ("emergency", ["spreading"], False),
        ("next_day", ["cancer_signs"], False),
        ("same_day", ["skipping", "leg_weakness"], False),
        ("same_day", ["safety_unanswered"], False),
        ("same_day", ["unread"], False),
    ],
)
def test_what_may_be_an_emergency_is_never_put_away(urgency, reasons, may):
    assert may_be_put_away(urgency, reasons) is may


def test_every_warning_sign_and_every_name_is_known():
    assert set(WARNING_KINDS) <= NEVER_PUT_AWAY
    assert NEVER_PUT_AWAY <= reason_words.CODES


def test_it_is_back_with_the_site_s_own_day():
    assert back_at(date(2026, 3, 3), MONDAY_NIGHT, HOURS) == datetime(
        2026, 3, 3, 5, tzinfo=UTC
    )


def test_a_day_on_which_the_clocks_change_begins_at_its_own_midnight():
    assert back_at(date(2026, 3, 9), MONDAY_NIGHT, HOURS) == datetime(
        2026, 3, 9, 4, tzinfo=UTC
    )


@pytest.mark.parametrize("day", [date(2026, 3, 2), date(2026, 3, 17)])
def test_today_and_beyond_two_weeks_are_refused(day):
    with pytest.raises(ValueError, match="from tomorrow to March 16"):
        back_at(day, MONDAY_NIGHT, HOURS)
