"""Reasons in words: every code the service can raise has a sentence for staff."""

from __future__ import annotations

import pytest

from programs.logic.assessment import REASONS
from reminders.logic import reason_words
from reminders.logic.ask_backs import SAFETY_UNANSWERED, WHO_UNANSWERED
from reminders.logic.findings import QUESTION, WHO, WORSENING_REASONS
from reminders.logic.warning_signs import WARNING_KINDS

RAISED_BY_WRITERS = {
    "silent",
    "silent_week",
    "not_monitored",
    "opted_out",
    "wrong_number",
    "undelivered",
    "unread",
    "shared_number",
    "no_response",
    "skipping",
    "unstable",
}
ALL = sorted(
    WARNING_KINDS
    | WORSENING_REASONS
    | RAISED_BY_WRITERS
    | {QUESTION, WHO, SAFETY_UNANSWERED, WHO_UNANSWERED}
)


@pytest.mark.parametrize("reason", ALL)
def test_every_reason_has_a_sentence_of_its_own(reason: str) -> None:
    said = reason_words.sentence(reason)
    assert reason in reason_words.CODES
    assert said[0].isupper() and said.endswith(".")
    assert "_" not in said
    assert "_" not in reason_words.label(reason)


@pytest.mark.parametrize("reason", sorted(WARNING_KINDS))
def test_a_warning_is_said_as_possible_never_as_a_diagnosis(reason: str) -> None:
    said = reason_words.sentence(reason)
    assert "possible warning sign" in said
    assert "follow local rules" in said


def test_an_ended_client_is_said_to_be_no_longer_monitored() -> None:
    assert "no longer monitored" in reason_words.sentence("opted_out")


def test_numbers_are_said_and_grow_older_with_the_clock() -> None:
    numbers = {"to_zone": 4.0, "from_zone": 2.0, "zones": 2.0, "side": 1.0}
    numbers |= {"reports": 1.0, "hours_ago": 0.0}
    said = reason_words.sentence("spreading", numbers, age=3.2)
    assert "from the thigh to the foot on the right" in said
    assert "3 h ago" in said


def test_numbers_that_lack_one_fall_back_to_the_plain_sentence() -> None:
    said = reason_words.sentence("pain_up", {"usual": 3.0})
    assert said == reason_words.sentence("pain_up")


@pytest.mark.parametrize("reason", REASONS)
def test_no_set_of_numbers_breaks_a_sentence(reason: str) -> None:
    for numbers in ({}, {"side": 0.0}, {"reports": 2.0}, {"weight": 2.0}):
        assert reason_words.sentence(reason, numbers).endswith(".")


def test_an_unknown_reason_is_named_and_not_hidden() -> None:
    assert reason_words.sentence("brand_new") == "Brand new."
