"""Reasons in words: true, with their numbers, enough to act on."""

import pytest

from programs.logic.assessment import REASONS
from programs.logic.explanation import _WORDS, place, sentence

FARTHER = {"reports": 2.0, "hours_ago": 3.0, "from_zone": 2.0, "to_zone": 4.0}


def test_every_reason_has_words_of_its_own() -> None:
    assert set(_WORDS) == set(REASONS)


@pytest.mark.parametrize(
    ("reason", "numbers", "words"),
    [
        (
            "spreading",
            {**FARTHER, "side": -1.0},
            "Symptoms reach farther, from the thigh to the foot on the left"
            " (2 reports, the last 3 h ago).",
        ),
        (
            "spreading",
            {"reports": 1.0, "hours_ago": 0.2},
            "The client says that symptoms move down the leg"
            " (1 report, the last within the hour).",
        ),
        (
            "spreading",
            {**FARTHER, "zones": 0.0, "from_zone": 4.0},
            "The client says that symptoms move down, at the foot"
            " (2 reports, the last 3 h ago).",
        ),
        (
            "pain_up",
            {"earlier": 6.0, "latest": 5.5, "usual": 3.0},
            "Pain 6.0 and 5.5 on the last two rated days, usually 3.0.",
        ),
        (
            "silent",
            {"hours": 73.0, "unanswered": 9.0},
            "No reply for 73 h, 9 reminders unanswered.",
        ),
        (
            "skipping",
            {"done_share": 0.25, "stated": 8.0, "days_without": 2.0},
            "In 7 days 25 % of 8 sessions done; none on the last 2 days.",
        ),
        ("new_numbness", {"weight": 1.0, "hours_ago": 5.0}, None),
        ("a_new_reason", {}, "A new reason."),
    ],
)
def test_a_reason_is_said_with_its_numbers(
    reason: str, numbers: dict[str, float], words: str | None
) -> None:
    assert sentence(reason, numbers) == (words or "Numbness newly stated, 5 h ago.")


@pytest.mark.parametrize(
    ("zone", "words"), [(0, "the back"), (1.5, "the thigh"), (4, "the foot")]
)
def test_a_level_between_two_is_said_as_the_farther(zone: float, words: str) -> None:
    assert place(zone) == words
