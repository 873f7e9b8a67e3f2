"""What holds for every string: no error, same answer, spans inside, linear work."""

import dataclasses
import sys
from types import FrameType
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reminders.logic.reply import Reply, parse_reply
from reminders.logic.reply.normalize import fold
from reminders.logic.reply.result import AREAS, STATES, WARNINGS
from tests.logic.reminders.reply.corpus import FOLDER, load, read

ASKED = (None, "session", "pain", "reach", "done", "safety", "who", "opt_out")
CASES = [case for path in sorted(FOLDER.glob("*.jsonl")) for case in load(path.stem)]
WORDS = (
    "no not pain leg foot numb 7 3/10 was now cant pee but , . ? back left worse "
    "better gone done stop if my husband - > 'l and down to 30 sec x sin dolor pas "
    "je ne sens plus"
)
SPOKEN = st.sampled_from(WORDS.split())
TEXT = st.text(st.characters(codec=None), max_size=80)
SENTENCES = st.lists(SPOKEN, max_size=30).map(" ".join)


@settings(max_examples=300, deadline=None)
@given(text=TEXT | SENTENCES, asked=st.sampled_from((*ASKED, "nothing")))
def test_any_string_is_read_and_every_span_lies_in_it(
    text: str, asked: str | None
) -> None:
    reply = parse_reply(text, asked=asked)
    assert reply == parse_reply(text, asked=asked)
    assert all(0 <= s < e <= len(text) for s, e in reply.evidence.values())
    assert reply.pain is None or 0 <= reply.pain <= 10
    assert set(reply.areas) <= set(AREAS) and set(reply.areas.values()) <= set(STATES)
    assert reply.warnings <= set(WARNINGS)
    assert reply.needs_human or not reply.warnings


@pytest.mark.parametrize("text", ["\ud800 pain 3", "\x00", "\udfff", "🏳️‍🌈" * 50])
def test_broken_text_is_read_like_any_other(text: str) -> None:
    parse_reply(text)


@settings(max_examples=200, deadline=None)
@given(text=st.text(st.characters(codec=None), max_size=60))
def test_folding_twice_changes_nothing(text: str) -> None:
    once = fold(text)
    assert fold(once.text).text == once.text
    assert len(once.origin) == len(once.text)


@pytest.mark.parametrize("case", CASES, ids=lambda case: str(case["id"]))
def test_accents_and_case_change_nothing(case: dict[str, Any]) -> None:
    plain = read(case, fold(case["text"]).text.upper())
    said = read(case)
    for field in set(said) - {"evidence"}:
        assert plain[field] == said[field], field


@pytest.mark.parametrize(
    "piece",
    [
        "worse 7, now down to my calf and foot tingles but i can pee ",
        "7 ",
        "no ",
        "foot, ",
        "and foot 7 ",
        "cant ",
        "> ",
        "(",
        "-",
        "ab",
        "was 6 now ",
    ],
)
def test_twice_the_text_is_at_most_about_twice_the_work(piece: str) -> None:
    parse_reply(piece)
    small, large = (calls(_long(piece, size)) for size in (3_200, 6_400))
    assert large <= 2.5 * small + 2_000


def _long(piece: str, size: int) -> str:
    return (piece * (size // len(piece) + 1))[:size]


def calls(text: str) -> int:
    """Function calls and generator steps: work that no busy machine disturbs."""
    count = 0

    def see(frame: FrameType, event: str, arg: object) -> None:
        nonlocal count
        count += 1

    sys.setprofile(see)
    try:
        parse_reply(text)
    finally:
        sys.setprofile(None)
    return count


def test_a_text_as_long_as_no_gateway_sends_is_still_read() -> None:
    reply = parse_reply("done " * 5_000 + "cant pee")
    assert "bladder_bowel" in reply.warnings


def test_every_field_that_is_set_names_the_characters_it_was_read_from() -> None:
    cases = [case for name in ("en", "es", "fr", "keywords") for case in load(name)]
    for case in cases:
        text, asked = case["text"], case.get("asked")
        reply = parse_reply(text, language=case.get("language", "en"), asked=asked)
        for field in dataclasses.fields(Reply):
            value = getattr(reply, field.name)
            rated_zero = isinstance(value, float)
            if field.name == "evidence" or not (value or rated_zero):
                continue
            start, end = reply.evidence[field.name]
            assert 0 <= start <= end <= len(text), (case["id"], field.name)
