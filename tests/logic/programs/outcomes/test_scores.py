"""Scores of every measure, with what is missing handled as its rule says."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from programs.logic.outcomes import rmdq, start_back
from programs.logic.outcomes.measures import MEASURES
from programs.logic.outcomes.values import LANGUAGES, AnswerError, Taken

AT = datetime(2026, 3, 2, 15, 0, tzinfo=UTC)


def activities(*ratings: int | None) -> dict[str, Any]:
    names = ("stairs", "socks", "driving", "sitting", "lifting")
    rows = [{"name": n, "rating": r} for n, r in zip(names, ratings, strict=False)]
    return {"activities": rows}


@pytest.mark.parametrize(
    ("code", "answers", "value", "missing"),
    [
        ("nprs", {"pain": 6}, 6, 0),
        ("nprs", {"pain": 3.5}, 3.5, 0),
        ("rmdq", {"ticked": [1, 4, 24]}, 3, 0),
        ("rmdq", {"ticked": [1, 1, 4]}, 2, 0),
        ("rmdq", {"ticked": [], "none": True}, 0, 0),
        ("rmdq", {"none": True}, 0, 0),
        ("rmdq", {"ticked": list(range(1, 25))}, 24, 0),
        ("rmdq", {"total": 14}, 14, 0),
        ("psfs", activities(2, 3, 4), 3, 0),
        ("psfs", activities(5, None, 4), 4.5, 1),
        ("psfs", activities(7), 7, 0),
        ("grc", {"change": -2}, -2, 0),
        ("odi", {"points": 16}, 32.0, 0),
        ("odi", {"points": 16, "answered": 9}, 35.6, 1),
        ("odi", {"percent": 44.5}, 44.5, 0),
        ("start_back", {"total": 3, "distress": 3}, 3, 0),
    ],
)
def test_a_score(code: str, answers: Any, value: float, missing: int) -> None:
    found = MEASURES[code].score(answers)
    assert (found.value, found.missing) == (value, missing)


@pytest.mark.parametrize(
    ("code", "answers", "field"),
    [
        ("nprs", {}, "pain"),
        ("nprs", {"pain": 11}, "pain"),
        ("nprs", {"pain": "4"}, "pain"),
        ("nprs", {"pain": True}, "pain"),
        ("nprs", {"pain": float("nan")}, "pain"),
        ("nprs", {"pain": 4, "name": "x"}, "name"),
        ("rmdq", {}, "ticked"),
        ("rmdq", {"ticked": []}, "ticked"),
        ("rmdq", {"ticked": [3], "none": True}, "none"),
        ("rmdq", {"ticked": [25]}, "ticked"),
        ("rmdq", {"ticked": "14"}, "ticked"),
        ("rmdq", {"total": 25}, "total"),
        ("rmdq", {"total": 14.5}, "total"),
        ("rmdq", {"total": 2, "ticked": [1, 2]}, "ticked"),
        ("psfs", {}, "activities"),
        ("psfs", activities(None, None), "activities"),
        ("psfs", activities(11), "activities"),
        ("psfs", {"activities": [{"name": " ", "rating": 4}]}, "activities"),
        ("psfs", {"activities": [{"name": "a", "rating": 1}] * 2}, "activities"),
        ("psfs", {"activities": [{"name": str(n)} for n in range(6)]}, "activities"),
        ("psfs", {"activities": [["a", 1]]}, "activities"),
        ("grc", {}, "change"),
        ("grc", {"change": 6}, "change"),
        ("odi", {"points": 51}, "points"),
        ("odi", {"points": 41, "answered": 8}, "points"),
        ("odi", {"points": 20, "answered": 7}, "answered"),
        ("odi", {"percent": 101}, "percent"),
        ("start_back", {"total": 3}, "distress"),
        ("start_back", {"total": 3, "distress": 4}, "distress"),
        ("start_back", {"total": 9, "distress": 4}, "distress"),
    ],
)
def test_what_cannot_be_scored_is_refused_by_name(
    code: str, answers: Any, field: str
) -> None:
    with pytest.raises(AnswerError) as refused:
        MEASURES[code].score(answers)
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("total", "distress", "group"), [(3, 3, "low"), (4, 3, "medium"), (5, 4, "high")]
)
def test_start_back_sorts_by_distress_first(
    total: int, distress: int, group: str
) -> None:
    assert start_back.group(total, distress) == group


@pytest.mark.parametrize(
    ("code", "value", "answers", "said"),
    [
        ("nprs", 0, {}, "no pain"),
        ("nprs", 5, {}, "mild"),
        ("nprs", 6, {}, "moderate"),
        ("nprs", 7, {}, "moderate"),
        ("nprs", 8, {}, "severe"),
        ("rmdq", 2, {}, "recovered"),
        ("rmdq", 3, {}, ""),
        ("psfs", 4.5, activities(5, None, 4), "2 of 3 activities rated"),
        ("grc", 2, {}, "a small change for the better"),
        ("grc", -3, {}, "a clear change for the worse"),
        ("start_back", 5, {"distress": 4}, "high risk group"),
    ],
)
def test_what_one_score_says(code: str, value: float, answers: Any, said: str) -> None:
    assert MEASURES[code].reads(Taken(AT, value, answers)) == said


def test_roland_morris_has_its_24_statements_in_english_only() -> None:
    assert len(set(rmdq.ITEMS)) == 24
    assert MEASURES["rmdq"].by_link == ("en",)


def test_a_measure_without_a_free_licence_is_never_asked_on_a_page() -> None:
    assert MEASURES["odi"].by_link == MEASURES["start_back"].by_link == ()
    for code in ("nprs", "psfs", "grc"):
        assert MEASURES[code].by_link == LANGUAGES


ANY = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.text(max_size=5), inner, max_size=3)
    ),
    max_leaves=6,
)
FIELDS = ["pain", "ticked", "none", "total", "activities", "change", "points"]


@given(
    st.sampled_from(sorted(MEASURES)),
    st.dictionaries(st.sampled_from([*FIELDS, "answered", "percent"]), ANY),
)
def test_any_answers_are_scored_in_range_or_refused(code: str, answers: Any) -> None:
    measure = MEASURES[code]
    try:
        found = measure.score(answers)
    except AnswerError:
        return
    assert measure.low <= found.value <= measure.high
