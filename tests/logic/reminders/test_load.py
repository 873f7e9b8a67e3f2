"""How often a client is reminded: thinned when it goes well, back at once when not."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reminders.logic.load import (
    FEW,
    FEWER,
    FULL,
    LEVEL_WORDS,
    LEVELS,
    REASON_WORDS,
    LoadChange,
    LoadFacts,
    change,
    kept,
    per_day,
)

DAY = timedelta(days=1)
WELL = LoadFacts(
    running=10 * DAY,
    at_level=None,
    reply_rate=0.9,
    confirmed_rate=0.8,
    recent_reply_rate=0.9,
    unprompted=0,
    unprompted_days=0,
    settling=True,
    settled=False,
    worse=False,
    skipping=False,
    quiet_for=timedelta(hours=2),
)


def changed(level: str = FULL, times: int = 5, **facts: Any) -> LoadChange | None:
    return change(level, replace(WELL, **facts), times_per_day=times)


@pytest.mark.parametrize(
    ("level", "facts", "expected"),
    [
        (FULL, {}, (FEWER, "adherent")),
        (FULL, {"settling": False}, None),
        (FULL, {"confirmed_rate": 0.69}, None),
        (FULL, {"reply_rate": 0.69}, None),
        (FULL, {"reply_rate": None, "confirmed_rate": None}, None),
        (FULL, {"running": 6 * DAY}, None),
        (FULL, {"at_level": 6 * DAY}, None),
        (FULL, {"settled": True}, (FEW, "settled")),
        (
            FULL,
            {"settling": False, "unprompted": 5, "unprompted_days": 3},
            (FEWER, "unprompted"),
        ),
        (FULL, {"settling": False, "unprompted": 9, "unprompted_days": 2}, None),
        (FEWER, {}, None),
        (FEWER, {"at_level": 7 * DAY, "settled": True}, (FEW, "settled")),
        (FEW, {"settled": True}, None),
        (FULL, {"worse": True}, None),
        (FEWER, {"worse": True}, (FULL, "worse")),
        (FEW, {"skipping": True, "at_level": timedelta(0)}, (FULL, "skipping")),
        (FEW, {"quiet_for": DAY}, (FULL, "silent")),
        (FEWER, {"recent_reply_rate": 0.4}, (FULL, "few_replies")),
        (FEWER, {"recent_reply_rate": None, "at_level": DAY}, None),
    ],
)
def test_the_rules(
    level: str, facts: dict[str, Any], expected: tuple[str, str] | None
) -> None:
    found = changed(level, **facts)
    assert found == (LoadChange(*expected) if expected else None)


def test_three_a_day_stay_until_symptoms_have_settled() -> None:
    assert changed(times=3) is None
    assert changed(times=3, settled=True) == LoadChange(FEW, "settled")
    assert changed(times=2, settled=True) is None
    assert [per_day(FEWER, times) for times in (1, 2, 3, 4, 5, 6, 8, 12)] == [
        *(1, 2, 3, 3, 3, 3, 4, 6)
    ]
    assert [per_day(FEW, times) for times in (1, 2, 5)] == [1, 2, 2]


@given(st.integers(1, 12), st.integers(1, 12))
def test_the_slots_that_stay_are_as_many_as_wanted_and_in_order(
    times: int, count: int
) -> None:
    found = kept(times, count)
    assert len(found) == len(set(found)) == min(times, count)
    assert list(found) == sorted(found)
    assert all(0 <= index < times for index in found)
    if 1 < count <= times:
        assert (found[0], found[-1]) == (0, times - 1)


@given(st.sampled_from(LEVELS), st.integers(1, 12), st.booleans(), st.booleans())
def test_whoever_is_worse_or_skips_is_never_reminded_less(
    level: str, times: int, worse: bool, skipping: bool
) -> None:
    found = changed(level, times, worse=worse, skipping=skipping, settled=True)
    if (worse or skipping) and found is not None:
        assert found.level == FULL
    if found is not None:
        assert found.reason in REASON_WORDS
        assert found.level in LEVEL_WORDS
