"""Doses: what is refused, how they are said, which of two is less."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from programs.logic import dose
from programs.logic.dose import Dose, DoseError, check_dose, describe
from tests.logic.programs.cases import load

CASES = load("doses.json")
GOOD = [case for case in CASES if "error" not in case]
BAD = [case for case in CASES if "error" in case]
# 3GPP TS 23.038 basic set, the characters a dose may use of it.
GSM = set("0123456789 ;,.") | {chr(c) for c in range(65, 91)}
GSM |= {chr(c) for c in range(97, 123)} | set("éèàñü")

PRESS_UP = Dose(None, 10, 1, None, 5)
ELBOWS = Dose(30, 3, 1, None, 5)
WALK = Dose(None, None, None, 10, 3)


@pytest.mark.parametrize("case", GOOD, ids=[case["id"] for case in GOOD])
def test_a_good_dose_is_kept_and_said(case: dict[str, Any]) -> None:
    found = check_dose(case["kind"], **case["dose"])
    for form in ("short", "long"):
        for language, words in case.get(form, {}).items():
            assert describe(found, language, form=form) == words


@pytest.mark.parametrize("case", BAD, ids=[case["id"] for case in BAD])
def test_a_bad_dose_says_what_is_wrong(case: dict[str, Any]) -> None:
    with pytest.raises(DoseError) as caught:
        check_dose(case["kind"], **case["dose"])
    assert [caught.value.field, caught.value.message] == case["error"]


def test_sets_left_out_mean_one() -> None:
    assert check_dose("repetition", repetitions=10).sets == 1


@given(
    st.sampled_from([PRESS_UP, ELBOWS, WALK, Dose(300, 50, 10, None, 12)]),
    st.sampled_from(["en", "es", "fr", "xx"]),
    st.sampled_from(["short", "long"]),
)
def test_words_stay_in_the_seven_bit_alphabet(
    given_dose: Dose, language: str, form: str
) -> None:
    assert set(describe(given_dose, language, form=form)) <= GSM


def test_an_unknown_form_is_refused() -> None:
    with pytest.raises(ValueError, match="short"):
        describe(ELBOWS, form="tiny")


@pytest.mark.parametrize(
    ("old", "new", "raised", "lowered"),
    [
        (PRESS_UP, PRESS_UP, False, False),
        (PRESS_UP, Dose(None, 5, 1, None, 5), False, True),
        (PRESS_UP, Dose(None, 12, 1, None, 5), True, False),
        (PRESS_UP, Dose(None, 5, 1, None, 6), True, False),
        (PRESS_UP, Dose(2, 10, 1, None, 5), True, False),
        (Dose(2, 10, 1, None, 5), PRESS_UP, False, True),
    ],
)
def test_any_field_up_is_a_raise(
    old: Dose, new: Dose, raised: bool, lowered: bool
) -> None:
    assert dose.is_raise(old, new) is raised
    assert dose.is_lower(old, new) is lowered


def test_the_difference_names_each_changed_field() -> None:
    new = Dose(30, 5, 1, None, 4)
    assert dose.difference(ELBOWS, new) == {
        "repetitions": (3, 5),
        "times_per_day": (5, 4),
    }


def test_the_safer_of_two_is_smaller_in_every_field() -> None:
    assert dose.safer(ELBOWS, Dose(15, 6, 1, None, 6)) == Dose(15, 3, 1, None, 5)
    assert dose.safer(Dose(2, 10, 1, None, 5), PRESS_UP) == PRESS_UP


def test_timed_and_counted_doses_have_no_safer_one() -> None:
    with pytest.raises(DoseError):
        dose.safer(WALK, PRESS_UP)


@pytest.mark.parametrize(
    ("given_dose", "field", "expected"),
    [
        (PRESS_UP, None, Dose(None, 5, 1, None, 5)),
        (ELBOWS, None, Dose(15, 3, 1, None, 5)),
        (ELBOWS, "repetitions", Dose(30, 2, 1, None, 5)),
        (WALK, None, Dose(None, None, None, 5, 3)),
        (WALK, "hold_seconds", WALK),
        (Dose(1, 1, 1, None, 1), None, Dose(1, 1, 1, None, 1)),
    ],
)
def test_halving_changes_one_field(
    given_dose: Dose, field: str | None, expected: Dose
) -> None:
    assert dose.halved(given_dose, field) == expected


def test_the_load_of_a_day() -> None:
    assert dose.total_load(ELBOWS) == dose.Load(15, 450, 0)
    assert dose.total_load(WALK) == dose.Load(0, 0, 30)
