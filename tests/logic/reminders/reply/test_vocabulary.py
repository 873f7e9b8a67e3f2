"""The vocabulary folders: nothing contradicts itself, every language is whole."""

import pytest

from reminders.logic.reply.clashes import clashes
from reminders.logic.reply.lexicon import all_phrases, languages, lexicon
from reminders.logic.reply.patterns import expand
from reminders.logic.reply.repair import mended
from reminders.logic.reply.result import AREAS, STATES, WARNINGS


@pytest.mark.parametrize("language", languages())
def test_no_phrase_means_two_things_that_exclude_each_other(language: str) -> None:
    assert clashes(all_phrases(language)) == []


def test_a_clash_is_told() -> None:
    told = clashes(
        {("left",): ("side.left", "side.right"), ("right",): ("side.right",)}
    )
    assert told == ["'left' is ('side.left', 'side.right')"]


@pytest.mark.parametrize("language", languages())
def test_every_language_names_all_areas_and_watches_for_every_warning(
    language: str,
) -> None:
    words = lexicon(language)
    concepts = {pattern.concept for pattern in words.patterns}
    assert {f"area.{area}" for area in AREAS} <= concepts
    assert {sign.kind for sign in words.signs} >= {*WARNINGS, "stop", "wrong_number"}
    told = {c.split(".")[1] for c in concepts if c.split(".")[0] in ("change", "state")}
    assert told <= set(STATES)


@pytest.mark.parametrize("language", languages())
def test_every_language_counts_from_zero_to_ten(language: str) -> None:
    assert set(lexicon(language).numbers.values()) >= set(range(11))


def test_a_pattern_stands_for_all_its_phrases() -> None:
    assert set(expand("can't|don't feel my? foot;numb")) == {
        ("cant", "feel", "my", "foot"),
        ("cant", "feel", "foot"),
        ("dont", "feel", "my", "foot"),
        ("dont", "feel", "foot"),
        ("numb",),
    }


def test_an_unknown_language_is_refused_with_those_there_are() -> None:
    with pytest.raises(KeyError, match="en"):
        lexicon("xx")


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("wrose", "worse"),
        ("bettter", "better"),
        ("exercizes", "exercises"),
        ("tinglng", "tingling"),
        ("sooooo", "so"),
        ("horse", "horse"),  # a known word, never "worse"
        ("number", "number"),  # never "numb"
        ("numbr", "numbr"),  # between numb and number
        ("night", "night"),  # never "right"
        ("leg", "leg"),  # too short to mend
        ("lag", "lag"),
    ],
)
def test_one_slip_is_mended_and_never_across_a_doubt(written: str, meant: str) -> None:
    assert mended(written, lexicon("en")) == meant
