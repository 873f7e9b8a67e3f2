"""Any string in any language gives a Reply, and twice the text costs twice the work.

Strings are Unicode of every kind, and real shapes of replies with Unicode strewn in.
Work is counted at doubling lengths from 200 to 25,600 characters.
"""

from cProfile import Profile
from itertools import pairwise
from time import process_time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reminders.logic.reply import Reply, parse_reply
from reminders.logic.reply.normalize import fold
from reminders.logic.reply.storage import from_json, to_json
from tests.bench.replies.rows import rows

ASKED = (None, "session", "pain", "reach", "done", "safety", "who", "opt_out")
ROWS = list(rows("train"))
ANYTHING = st.text(st.characters(codec=None), max_size=12)
STREWN = st.tuples(
    st.sampled_from([row.text for row in ROWS]), st.integers(0, 80), ANYTHING
).map(lambda each: each[0][: each[1]] + each[2] + each[0][each[1] :])
TEXTS = st.text(st.characters(codec=None), max_size=120) | STREWN
LENGTHS = [200 * 2**step for step in range(8)]
# A square would make a doubling 4 and all seven of them 16,384 instead of 128. More
# than twice happens once, where a text is long enough to be read in pieces.
DOUBLING, ALL_DOUBLINGS, FIRST_TEXT = 2.6, 2.5 * 128, 2_500


@settings(max_examples=200, deadline=None)
@given(TEXTS, st.sampled_from(["en", "es", "fr", "tlh"]), st.sampled_from(ASKED))
def test_any_string_gives_a_reply_that_can_be_kept(
    text: str, language: str, asked: str | None
) -> None:
    reply = parse_reply(text, language=language, asked=asked)
    assert isinstance(reply, Reply)
    assert all(0 <= s < e <= len(text) for s, e in reply.evidence.values())
    assert from_json(to_json(reply)) == reply


@settings(max_examples=200, deadline=None)
@given(TEXTS)
def test_folding_a_folded_text_changes_nothing(text: str) -> None:
    once = fold(text)
    assert fold(once.text).text == once.text
    assert all(0 <= at <= len(text) for at in once.origin)


SHAPES = {
    "one letter": "a",
    "one digit": "7",
    "digits apart": "7 ",
    "signs": "-",
    "stops": ". ",
    "lines": "ok\n",
    "one word": "pain ",
    "one denial": "no ",
    "unknown words": "qwzk ",
    "long unknown words": "qwzkqwzkqwzkqwzkqwzk ",
    "slips of known words": "numbr tinglng wrose exercizes ",
    "one clause": "back leg foot calf numb and weak and sore and better ",
    "many clauses": "pain 3, no numbness. but the leg is weak; can pee? ",
    "signs of danger": "cant pee and numb between my legs or cant feel my foot ",
    "foreign words": "mi pierna dormida et je ne sens plus mon pied no puedo orinar ",
    "one French clause": "pas de douleur au dos et le pied engourdi et la jambe ",
    "times and counts": "3 sets of 10 for 30 sec at 8:30 was 6 now 3 ",
}
RUN_TOGETHER = " ".join(row.text for row in ROWS[:40])[:1_000]
WITHOUT_SPACES = RUN_TOGETHER.replace(" ", "")[:200]
SHAPES |= {"no spaces": WITHOUT_SPACES, "replies run together": RUN_TOGETHER[:200]}


def long(piece: str, size: int) -> str:
    return (piece * (size // len(piece) + 1))[:size]


@pytest.mark.parametrize("name", SHAPES)
def test_twice_the_text_is_twice_the_work(name: str) -> None:
    texts = [long(SHAPES[name], size) for size in LENGTHS]
    parse_reply(texts[0])
    counts = [calls(text) for text in texts]
    for before, after in pairwise(counts):
        assert after <= DOUBLING * before + FIRST_TEXT, counts
    assert counts[-1] <= ALL_DOUBLINGS * (counts[0] + FIRST_TEXT), counts


@pytest.mark.parametrize("name", SHAPES)
def test_no_loop_hides_in_one_call(name: str) -> None:
    """Four times the text in well under the 16 times a square would take."""
    parse_reply(long(SHAPES[name], 3_200))
    small, large = (seconds(long(SHAPES[name], size)) for size in (3_200, 12_800))
    assert large <= 9 * small + 0.05, (small, large)


def seconds(text: str) -> float:
    """Processor time, which other work leaves nearly alone; the better of two."""
    took = []
    for _ in range(2):
        began = process_time()
        parse_reply(text)
        took.append(process_time() - began)
    return min(took)


def calls(text: str) -> int:
    """Calls and generator steps, of ours and of the language."""
    profile = Profile()
    profile.enable()
    parse_reply(text)
    profile.disable()
    return sum(entry.callcount for entry in profile.getstats())
