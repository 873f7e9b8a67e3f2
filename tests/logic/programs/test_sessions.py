"""The three rates: the published vector, days that do not count, extra sessions."""

from __future__ import annotations

from datetime import datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from programs.logic.sessions import SessionRates, rates_of
from tests.logic.programs.cases import START, ZONE, at, report

WORDS = ("done", "partly", "skipped", None)


def slots(days: int, a_day: int = 3) -> list[datetime]:
    return [at(24 * day + 4 * slot) for day in range(days) for slot in range(a_day)]


def test_three_a_day_for_a_week_gives_the_three_rates_of_the_vector() -> None:
    asked = slots(7)
    said = ["done"] * 12 + ["skipped"] * 3
    reports = [
        report((when - START) / timedelta(hours=1) + 0.5, completion=word)
        for when, word in zip(asked, said, strict=False)
    ]
    found = rates_of(reports, prescribed_at=asked, sent_at=asked, zone=ZONE)
    assert (found.sent, found.answered, found.silent) == (21, 15, 6)
    rates = (found.reply_rate, found.confirmed_rate, found.conditional_rate)
    assert [round(100 * (rate or 0), 1) for rate in rates] == [71.4, 57.1, 80.0]
    assert found.unprompted == 0


def test_thinned_reminders_leave_the_sessions_in_the_denominator() -> None:
    asked = slots(1, 4)
    sent = asked[::3]
    reports = [report(hour + 0.2, completion="done") for hour in (0, 4, 8)]
    found = rates_of(reports, prescribed_at=asked, sent_at=sent, zone=ZONE)
    assert (found.sent, found.prescribed, found.done) == (2, 4, 3)
    assert (found.unprompted, found.unprompted_days) == (2, 1)


def test_extra_sessions_and_days_of_a_pause_do_not_count() -> None:
    busy = [report(hour, completion="done") for hour in range(8)]
    paused = [report(48 + hour, completion="skipped") for hour in range(3)]
    found = rates_of(
        [*busy, *paused], prescribed_at=slots(1), sent_at=slots(1), zone=ZONE
    )
    assert (found.done, found.not_done, found.confirmed_rate) == (3, 0, 1.0)


def test_a_late_reply_answers_until_the_next_reminder() -> None:
    sent = slots(1)
    late = [report(3.5), report(3.9), report(8 + 12.5)]
    found = rates_of(late, prescribed_at=sent, sent_at=sent, zone=ZONE)
    assert found.answered == 1


def test_partly_counts_half_on_either_side() -> None:
    sent = slots(1)
    said = [report(0.1, completion="partly"), report(4.1, completion="done")]
    found = rates_of(said, prescribed_at=sent, sent_at=sent, zone=ZONE)
    assert (found.done, found.not_done, found.silent) == (1.5, 0.5, 1)


def test_nothing_asked_has_no_rates() -> None:
    found = rates_of([], prescribed_at=[], sent_at=[], zone=ZONE)
    assert found == SessionRates(0, 0, 0, 0.0, 0.0)
    assert found.reply_rate is found.confirmed_rate is found.conditional_rate is None


@given(
    st.lists(st.tuples(st.integers(0, 200), st.sampled_from(WORDS)), max_size=60),
    st.integers(0, 7),
    st.integers(1, 5),
)
def test_no_rate_leaves_zero_to_one(
    said: list[tuple[int, str | None]], days: int, a_day: int
) -> None:
    reports = [report(hour, completion=word) for hour, word in said]
    asked = slots(days, a_day)
    found = rates_of(reports, prescribed_at=asked, sent_at=asked, zone=ZONE)
    for rate in (found.reply_rate, found.confirmed_rate, found.conditional_rate):
        assert rate is None or 0 <= rate <= 1
    assert found.silent >= 0
