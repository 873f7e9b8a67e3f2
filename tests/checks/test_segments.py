"""Segment counts against 3GPP TS 23.038/23.040 cases and two other libraries."""

import json
from pathlib import Path
from typing import Any

import gsm0338
import pytest
import smsutil
from hypothesis import given, settings
from hypothesis import strategies as st

from reminders.logic.segments import BASIC, EXTENSION, measure, plain

FIXTURE = Path(__file__).parents[2] / "fixtures" / "segments.json"
CASES = json.loads(FIXTURE.read_text(encoding="utf-8"))["cases"]
CODEC = gsm0338.Codec()
GSM_TEXT = st.text(st.sampled_from(sorted(BASIC | EXTENSION)), max_size=700)
MIXED_TEXT = st.text(
    st.sampled_from("ab é^€’👍\ud83d\udc4d\x00") | st.characters(), max_size=300
)


@pytest.mark.parametrize("case", CASES, ids=[case["id"] for case in CASES])
def test_published_case_measures_the_same(case: dict[str, Any]) -> None:
    found = measure(case["text"])
    assert found.encoding == case["encoding"]
    assert found.units == case["units"]
    assert found.parts == case["parts"]
    assert list(found.units_per_part) == case["units_per_part"]


def test_all_published_cases_are_here() -> None:
    assert len(CASES) == 59


@given(GSM_TEXT)
def test_seven_bit_units_agree_with_a_codec(text: str) -> None:
    encoded, _ = CODEC.encode(text)
    assert measure(text).units == len(encoded)


@given(GSM_TEXT.filter(bool))
def test_seven_bit_parts_agree_with_another_splitter(text: str) -> None:
    oracle = smsutil.split(text)
    assert measure(text).parts == len(oracle.parts)
    assert list(measure(text).units_per_part) == [part.bytes for part in oracle.parts]


# U+001B is left out: the oracle takes the escape code itself for a letter of the
# alphabet (TS 23.038 section 6.2.1 gives it no character).
@given(
    st.text(
        st.characters(exclude_categories=["Cs"], exclude_characters="\x1b"),
        min_size=1,
        max_size=300,
    )
)
def test_any_text_agrees_with_another_splitter(text: str) -> None:
    oracle = smsutil.split(text)
    found = measure(text)
    assert found.parts == len(oracle.parts)
    assert (found.encoding == "GSM-7") == smsutil.is_valid_gsm(text)


@settings(max_examples=300)
@given(MIXED_TEXT)
def test_no_string_raises_and_parts_add_up(text: str) -> None:
    found = measure(text)
    limit = (153, 160) if found.encoding == "GSM-7" else (67, 70)
    assert sum(found.units_per_part) == found.units
    assert all(part <= limit[found.parts == 1] for part in found.units_per_part)
    assert bool(found.culprits) == (found.encoding == "UCS-2")


@given(MIXED_TEXT)
def test_every_culprit_is_named_where_it_stands(text: str) -> None:
    for culprit in measure(text).culprits:
        assert text[culprit.index] == culprit.character
        assert culprit.character not in BASIC | EXTENSION


@given(MIXED_TEXT)
def test_plain_keeps_every_character_it_cannot_stand_for(text: str) -> None:
    result = plain(text)
    assert plain(result) == result
    assert all(culprit.plain is None for culprit in measure(result).culprits)


def test_a_pair_given_as_two_surrogates_is_never_cut() -> None:
    text = "a" * 66 + "\ud83d\udc4d" + "a" * 10
    assert measure(text).units_per_part == (66, 12)
