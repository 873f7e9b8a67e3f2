"""Adherence is three rates, together."""

import pytest

from programs.logic import adherence


def test_the_three_rates_of_a_week() -> None:
    """21 sent, 12 done, 3 not done, 6 silent; formulae of common practice."""
    week = adherence.rates(prescribed=21, done=12, not_done=3)
    assert week.silent == 6
    assert week.reply_rate == pytest.approx(0.714, abs=5e-4)
    assert week.confirmed_rate == pytest.approx(0.571, abs=5e-4)
    assert week.conditional_rate == pytest.approx(0.800, abs=5e-4)


def test_nothing_prescribed_has_no_rate() -> None:
    week = adherence.rates(prescribed=0, done=0, not_done=0)
    assert (week.reply_rate, week.confirmed_rate, week.conditional_rate) == (None,) * 3


def test_extra_sessions_never_push_above_one() -> None:
    week = adherence.rates(prescribed=3, done=5, not_done=2)
    assert (week.confirmed_rate, week.reply_rate, week.silent) == (1, 1, 0)


def test_negative_counts_are_refused() -> None:
    with pytest.raises(ValueError, match="negative"):
        adherence.rates(prescribed=-1, done=0, not_done=0)


def test_two_sessions_partly_done_are_one_done() -> None:
    words = ["done", "partly", "partly", "skipped", None]
    week = adherence.from_completions(6, words)
    assert (week.done, week.not_done, week.silent) == (2, 2, 2)
    assert adherence.share_done(words) == 0.5
    assert adherence.share_done([None]) is None
