from datetime import UTC, datetime, timedelta

import pytest

from reminders.logic.silence import SILENCE_STEPS, silence_step

HEARD = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def after(hours: float) -> datetime:
    return HEARD + timedelta(hours=hours)


@pytest.mark.parametrize(
    ("hours", "kind", "urgency"),
    [
        (24, "nudge", None),
        (47.9, "nudge", None),
        (48, "silent_two_days", "review"),
        (72, "silent_three_days", "next_day"),
        (167, "silent_three_days", "next_day"),
        (168, "call_task", "next_day"),
        (336, "last_text", "next_day"),
        (2000, "last_text", "next_day"),
    ],
)
def test_the_ladder_climbs_with_the_hours(hours, kind, urgency):
    step = silence_step(HEARD, False, after(hours))
    assert (step.kind, step.urgency) == (kind, urgency)


def test_nothing_happens_in_the_first_day():
    assert silence_step(HEARD, True, after(23.9)) is None


def test_silence_after_a_worse_report_is_for_the_next_day():
    assert silence_step(HEARD, True, after(48)).urgency == "next_day"


def test_only_the_last_text_ends_monitoring():
    ends = [
        silence_step(HEARD, False, after(hours)).monitoring_ends
        for hours in (24, 48, 72, 168, 336)
    ]
    assert ends == [False, False, False, False, True]


def test_a_step_tells_when_it_was_reached():
    assert silence_step(HEARD, False, after(60)).reached_at == after(48)


def test_a_pause_does_not_count():
    paused = [(after(10), after(34))]
    assert silence_step(HEARD, False, after(47), uncounted=paused) is None
    step = silence_step(HEARD, False, after(48), uncounted=paused)
    assert (step.kind, step.reached_at) == ("nudge", after(48))


def test_overlapping_pause_and_closure_are_left_out_once():
    spans = [(after(10), after(22)), (after(4), after(16))]
    step = silence_step(HEARD, False, after(43), uncounted=spans)
    assert step.reached_at == after(24 + 18)


def test_spans_before_the_last_word_change_nothing():
    spans = [(after(-48), after(-24)), (after(-5), after(2))]
    step = silence_step(HEARD, False, after(26), uncounted=spans)
    assert step.reached_at == after(26)


def test_a_pause_that_lasts_still_holds_the_ladder():
    running = [(after(1), after(10_000))]
    assert silence_step(HEARD, False, after(2_000), uncounted=running) is None


def test_a_span_upside_down_is_ignored():
    upside_down = [(after(20), after(5))]
    step = silence_step(HEARD, False, after(24), uncounted=upside_down)
    assert step.kind == "nudge"


def test_steps_are_listed_in_the_order_they_come():
    seen = [silence_step(HEARD, False, after(h)).kind for h in (24, 48, 72, 168, 336)]
    assert tuple(seen) == SILENCE_STEPS
