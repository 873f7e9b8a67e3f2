from datetime import UTC, datetime, timedelta

import pytest

from reminders.logic.ordering import triage_key

NOW = datetime(2026, 3, 4, 8, 0, tzinfo=UTC)


def key(urgency, *, age=1, left=1, held=False):
    return triage_key(
        urgency,
        held=held,
        act_by=NOW + timedelta(hours=left),
        opened_at=NOW - timedelta(hours=age),
        now=NOW,
    )


def test_the_morning_list_stands_in_the_order_to_act():
    rows = {
        "emergency": key("emergency"),
        "held": key("same_day", held=True),
        "held, less urgent": key("next_day", held=True),
        "overdue": key("same_day", age=3, left=-1),
        "older": key("same_day", age=9),
        "newer": key("same_day", age=2),
        "tomorrow, overdue": key("next_day", age=99, left=-50),
        "review": key("review", age=200, left=9),
    }
    assert sorted(rows, key=rows.__getitem__) == list(rows)


def test_a_held_emergency_is_no_later_than_another():
    assert key("emergency", held=True) == key("emergency")


def test_due_exactly_now_counts_as_past():
    assert key("review", left=0) < key("review", left=0.1)


def test_an_unknown_urgency_is_refused():
    with pytest.raises(ValueError, match="unknown urgency"):
        key("whenever")
