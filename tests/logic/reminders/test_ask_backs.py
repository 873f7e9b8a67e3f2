from datetime import UTC, datetime, timedelta

import pytest

from reminders.logic.ask_backs import AskBack, deadline, is_open, unanswered
from reminders.logic.findings import Finding

ASKED = datetime(2026, 3, 4, 15, 0, tzinfo=UTC)


def later(minutes: int) -> datetime:
    return ASKED + timedelta(minutes=minutes)


@pytest.mark.parametrize(
    ("kind", "minutes", "expected"),
    [
        ("safety", 59, None),
        ("safety", 60, Finding("safety_unanswered", "same_day")),
        ("who", 29, None),
        ("who", 30, Finding("who_unanswered", "same_day")),
        ("reach", 10_000, None),
        ("pain", 10_000, None),
        ("opt_out", 10_000, None),
    ],
)
def test_an_unanswered_question_comes_to_what_it_may_hide(kind, minutes, expected):
    assert unanswered(AskBack(kind, ASKED), now=later(minutes)) == expected


def test_an_answered_question_comes_to_nothing():
    ask_back = AskBack("safety", ASKED, answered_at=later(10))
    assert unanswered(ask_back, now=later(600)) is None


def test_deadlines_exist_for_questions_that_matter():
    assert deadline(AskBack("safety", ASKED)) == later(60)
    assert deadline(AskBack("who", ASKED)) == later(30)
    assert deadline(AskBack("reach", ASKED)) is None


@pytest.mark.parametrize("kind", ["reach", "pain"])
def test_a_reach_or_pain_question_ends_with_the_next_reminder(kind):
    ask_back = AskBack(kind, ASKED)
    assert is_open(ask_back, last_reminder_at=None)
    assert is_open(ask_back, last_reminder_at=later(-30))
    assert not is_open(ask_back, last_reminder_at=later(30))


@pytest.mark.parametrize("kind", ["safety", "who"])
def test_a_safety_question_outlasts_reminders_until_answered(kind):
    assert is_open(AskBack(kind, ASKED), last_reminder_at=later(30))
    answered = AskBack(kind, ASKED, answered_at=later(5))
    assert not is_open(answered, last_reminder_at=None)
