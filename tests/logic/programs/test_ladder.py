"""Rungs up and down, on the ladder the library really carries."""

import pytest

from programs.library import load
from programs.logic import ladder

PLACES = {code: (entry.ladder, entry.rung) for code, entry in load().items()}


@pytest.mark.parametrize(
    ("code", "above", "below"),
    [
        ("prone_lying", "prone_on_elbows", None),
        ("prone_on_elbows", "press_up", "prone_lying"),
        ("press_up", "press_up_sag", "prone_on_elbows"),
        ("press_up_sag", None, "press_up"),
        ("elbows_shift_left", "press_up_shift_left", "prone_lying"),
        ("press_up_shift_right", None, "elbows_shift_right"),
        ("unknown", None, None),
    ],
)
def test_one_rung_up_and_down(code: str, above: str | None, below: str | None) -> None:
    assert ladder.next_rung(code, PLACES) == above
    assert ladder.previous_rung(code, PLACES) == below


@pytest.mark.parametrize(
    ("code", "side", "variant"),
    [
        ("prone_on_elbows", "left", "elbows_shift_left"),
        ("press_up", "right", "press_up_shift_right"),
        ("press_up_shift_left", "right", "press_up_shift_right"),
        ("prone_lying", "left", None),
        ("unknown", "left", None),
    ],
)
def test_a_shifted_variant_inherits_the_rung(
    code: str, side: str, variant: str | None
) -> None:
    assert ladder.shifted(code, side, PLACES) == variant
    if variant:
        assert PLACES[variant][1] == PLACES[code][1]


@pytest.mark.parametrize(
    ("old", "new", "up"),
    [
        ("press_up", "press_up_sag", True),
        ("press_up", "prone_lying", False),
        ("press_up", "press_up_shift_left", False),
        ("press_up", "walking", True),
        ("press_up", "press_up", False),
        ("press_up", "unknown", True),
    ],
)
def test_an_exchange_that_cannot_be_compared_is_a_step_up(
    old: str, new: str, up: bool
) -> None:
    assert ladder.is_step_up(old, new, PLACES) is up
