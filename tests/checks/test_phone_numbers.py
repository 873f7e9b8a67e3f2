"""Phone numbers against libphonenumber's verdicts on fictional ranges."""

import json
from pathlib import Path
from typing import Any

import phonenumbers
import pytest
from hypothesis import given
from hypothesis import strategies as st

from clinic.logic.phone import PhoneError, masked, to_e164

FIXTURE = Path(__file__).parents[2] / "fixtures" / "phone_examples.json"
FACTS = json.loads(FIXTURE.read_text(encoding="utf-8"))
NUMBERS, RAW = FACTS["numbers"], FACTS["raw"]
NUMBER_IDS = [case["id"] for case in NUMBERS]
RAW_IDS = [case["id"] for case in RAW]


def test_all_published_numbers_are_here() -> None:
    assert (len(NUMBERS), len(RAW)) == (41, 22)


@pytest.mark.parametrize("case", NUMBERS, ids=NUMBER_IDS)
def test_the_library_still_says_so(case: dict[str, Any]) -> None:
    number = phonenumbers.parse(case["e164"])
    assert phonenumbers.is_possible_number(number) is case["is_possible"]
    assert phonenumbers.is_valid_number(number) is case["is_valid"]
    assert phonenumbers.region_code_for_number(number) == case["region"]


@pytest.mark.parametrize("case", NUMBERS, ids=NUMBER_IDS)
def test_a_number_passes_only_when_possible_and_valid(case: dict[str, Any]) -> None:
    if case["is_possible"] and case["is_valid"]:
        assert to_e164(case["e164"]) == case["e164"]
    else:
        with pytest.raises(PhoneError):
            to_e164(case["e164"])


@pytest.mark.parametrize("case", RAW, ids=RAW_IDS)
def test_a_number_as_written_is_read_or_refused(case: dict[str, Any]) -> None:
    if case["accepted"]:
        assert to_e164(case["raw"], case["region"]) == case["library_e164"]
    else:
        with pytest.raises(PhoneError):
            to_e164(case["raw"], case["region"])


@pytest.mark.parametrize(
    ("raw", "region", "hint"),
    [
        ("abc", "US", "not a phone number"),
        ("2025550143", None, "country code"),
        ("2025550143", "ZZ", "country code"),
        ("+999 12345678", None, "country code"),
        ("555-0143", "US", "area code"),
        ("20255501", "US", "too few or too many"),
        ("202-555-0143 ext 12", "US", "direct number"),
    ],
)
def test_refusal_says_what_to_do_and_hides_the_number(
    raw: str, region: str | None, hint: str
) -> None:
    with pytest.raises(PhoneError, match=hint) as refused:
        to_e164(raw, region)
    assert raw not in str(refused.value)


@given(st.text(max_size=60), st.sampled_from(["US", "FR", "es", None]))
def test_any_text_is_either_refused_or_a_stable_number(
    raw: str, region: str | None
) -> None:
    try:
        number = to_e164(raw, region)
    except PhoneError:
        return
    assert to_e164(number) == number


def test_lower_case_region_is_the_same_country() -> None:
    assert to_e164("(202) 555-0143", "us") == "+12025550143"


@pytest.mark.parametrize(
    ("number", "shown"),
    [("+12025550143", "***43"), ("", "***"), ("+1911", "***"), ("Ana", "***")],
)
def test_a_log_sees_two_digits_at_most(number: str, shown: str) -> None:
    assert masked(number) == shown
