"""Which characters are named as culprits and what stands in for them."""

import pytest

from reminders.logic.segments import measure, plain


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("it’s", "it's"),
        ("3–4", "3-4"),
        ("ok…", "ok..."),
        ("más dolor", "mas dolor"),
        ("ça va même", "ca va meme"),
        ("señor é è à ü", "señor é è à ü"),
        ("e\u0301te\u0301", "été"),
        ("«ici»\u00a0:", '"ici" :'),
        ("\uff11\uff10 x", "10 x"),
        ("\u200edone", "done"),
        ("cœur", "coeur"),
    ],
)
def test_faithful_plain_form_is_used(text: str, expected: str) -> None:
    assert plain(text) == expected
    assert measure(expected).encoding == "GSM-7"


@pytest.mark.parametrize("text", ["👍", "10²", "3½", "боль", "痛", "\ud800"])
def test_what_would_change_the_meaning_is_left_alone(text: str) -> None:
    assert plain(text) == text
    assert all(culprit.plain is None for culprit in measure(text).culprits)


def test_culprit_carries_its_place_and_its_replacement() -> None:
    (culprit,) = measure("it’s").culprits
    assert (culprit.index, culprit.character, culprit.plain) == (2, "’", "'")


def test_ten_thousand_characters_are_measured() -> None:
    assert measure("a" * 10_000).parts == 66
