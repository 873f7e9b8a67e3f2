"""Hours on the on-call chain: nights in one stretch, gaps found, typing explained."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clinic.logic.duty_hours import DAYS, first_gap, parse

NEW_YORK = ZoneInfo("America/New_York")


def at(day: int, hour: int, minute: int = 0) -> datetime:
    """2 March 2026 is a Monday."""
    return datetime(2026, 3, day, hour, minute, tzinfo=NEW_YORK)


@pytest.mark.parametrize(
    ("line", "moment", "on"),
    [
        ("", at(2, 3), True),
        ("Mon-Fri 08:00-18:00", at(2, 8), True),
        ("Mon-Fri 08:00-18:00", at(2, 18), False),
        ("Mon-Fri 08:00-18:00", at(7, 9), False),
        ("Mon-Fri 18:00-08:00", at(7, 7, 59), True),  # Friday's night ends on Saturday
        ("Mon-Fri 18:00-08:00", at(2, 7, 59), False),  # Sunday night is nobody's
        ("Sun 22:00-06:00", at(2, 5), True),  # runs over the end of the week
        ("Fri-Mon 00:00-24:00", at(8, 12), True),
        ("Fri-Mon 00:00-24:00", at(3, 12), False),
        ("Sat 09:00-12:00; Sat 14:00-16:00", at(7, 15), True),
        ("Sat 09:00-12:00; Sat 14:00-16:00", at(7, 13), False),
        ("tuesday 9:00 - 10:30", at(3, 10, 29), True),
    ],
)
def test_who_is_on_duty_by_the_site_s_clock(
    line: str, moment: datetime, on: bool
) -> None:
    assert parse(line).is_on(moment.astimezone(UTC), NEW_YORK) is on


@pytest.mark.parametrize(
    "line", ["Mon", "08:00-18:00", "Mon 25:00-26:00", "Xyz 08:00-09:00", "Mon 8-18"]
)
def test_what_cannot_be_read_is_refused_with_words(line: str) -> None:
    with pytest.raises(ValueError, match="Write"):
        parse(line)


@pytest.mark.parametrize(
    ("lines", "gap"),
    [
        ([], "Mon 00:00"),
        ([""], None),
        (["Mon-Fri 08:00-18:00", ""], None),
        (["Mon-Sun 08:00-20:00", "Mon-Sun 20:00-08:00"], None),
        (["Mon-Fri 08:00-18:00", "Mon-Fri 18:00-08:00"], "Mon 00:00"),
        (["Mon-Sun 00:00-24:00"], None),
        (["Mon-Sun 08:00-18:00", "Mon-Sun 19:00-08:00"], "Mon 18:00"),
    ],
)
def test_the_first_moment_nobody_covers(lines: list[str], gap: str | None) -> None:
    assert first_gap(parse(line) for line in lines) == gap


clock = st.integers(0, 23 * 60 + 59).map(lambda m: f"{m // 60:02d}:{m % 60:02d}")
item = st.tuples(st.sampled_from(DAYS), st.sampled_from(DAYS), clock, clock).map(
    lambda t: f"{t[0]}-{t[1]} {t[2]}-{t[3]}"
)


@given(st.lists(item, max_size=4))
def test_what_is_kept_reads_as_what_was_typed(items: list[str]) -> None:
    once = parse(", ".join(items))
    assert list(parse(str(once)).spans()) == list(once.spans())


@given(st.lists(item, min_size=1, max_size=4), st.integers(0, 7 * 24 * 4 - 1))
def test_without_a_gap_somebody_is_always_on(items: list[str], quarter: int) -> None:
    people = [parse(each) for each in items]
    if first_gap(people) is None:
        moment = at(2 + quarter // 96, quarter % 96 // 4, quarter % 4 * 15)
        assert any(person.is_on(moment, NEW_YORK) for person in people)
