"""The parts of a text that were read: cut, named, and safe for any stored row."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reminders.logic.evidence import in_words, pieces
from reminders.logic.reply import parse_reply
from reminders.logic.reply.storage import to_json

WORSE = "worse today 7, now down to my calf and foot tingles"


def stored(text: str) -> dict[str, Any]:
    return to_json(parse_reply(text, asked="session"))


def test_the_parts_that_were_read_are_named() -> None:
    marked = {p.text: p.said for p in pieces(WORSE, stored(WORSE)) if p.said}
    assert any("worse overall" in said for said in marked.values())
    assert any("pain 7" in said for said in marked.values())
    assert any("lower leg" in said for said in marked.values())


def test_the_pieces_are_the_text() -> None:
    cut = pieces(WORSE, stored(WORSE))
    assert "".join(piece.text for piece in cut) == WORSE


def test_overlapping_spans_name_both_where_they_overlap() -> None:
    reply = {
        "pain": 7.0,
        "overall": "worse",
        "evidence": {"pain": [0, 5], "overall": [3, 8]},
    }
    cut = pieces("abcdefghij", reply)
    assert [(p.text, p.said) for p in cut] == [
        ("abc", "pain 7"),
        ("de", "pain 7; worse overall"),
        ("fgh", "worse overall"),
        ("ij", ""),
    ]


@pytest.mark.parametrize("span", [(-1, 3), (2, 2), (5, 2), (0, 99)])
def test_a_span_that_cannot_be_is_left_out(span: tuple[int, int]) -> None:
    reply = {"pain": 1.0, "evidence": {"pain": list(span)}}
    cut = pieces("short", reply)
    assert [(p.text, p.said) for p in cut] == [("short", "")]


def test_a_text_that_was_not_read_is_shown_whole() -> None:
    assert [p.text for p in pieces("hello", None)] == ["hello"]
    assert pieces("", None) == ()
    assert in_words(None) == ()


def test_a_reading_in_words_carries_every_field() -> None:
    said = in_words(stored(WORSE))
    assert "pain 7" in said
    assert "worse overall" in said
    assert any(words.startswith("foot") for words in said)


def test_a_warning_is_read_out_in_words() -> None:
    said = in_words(stored("numb between my legs and cant pee"))
    assert any("between the legs" in words for words in said)
    assert "needs a person" in said


@given(st.text(max_size=80))
def test_any_text_is_cut_without_loss(text: str) -> None:
    cut = pieces(text, stored(text))
    assert "".join(piece.text for piece in cut) == text
