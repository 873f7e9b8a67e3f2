"""Each stage of reading on its own: fold, cut, scope, number, store."""

import pytest

from reminders.logic.reply import parse_reply
from reminders.logic.reply.keywords import is_bare_yes
from reminders.logic.reply.lexicon import blended, lexicon
from reminders.logic.reply.normalize import fold
from reminders.logic.reply.numbers import read_numbers
from reminders.logic.reply.reading import Reading, language_of, read
from reminders.logic.reply.storage import from_json, to_json
from reminders.logic.reply.tokens import tokenize
from reminders.logic.reply.wrong_number import is_wrong_number


def reading(text: str, language: str = "en") -> Reading:
    return read(tokenize(text), blended(language), None)


def words(text: str) -> list[str]:
    return [token.text for token in tokenize(text)]


@pytest.mark.parametrize(
    ("text", "folded"),
    [
        ("Été ÑANDÚ", "ete nandu"),
        ("ｄｏｎｅ　４", "done 4"),
        ("st​op", "stop"),
        ("‮stop‬", "stop"),
        ("4½", "4.5"),
        ("½", "0.5"),
        ("3️⃣", "3"),
        ("٣", "3"),
        ("can’t", "can't"),
        ("cœur", "coeur"),
        ("a\x00b", "a b"),
    ],
)
def test_folding_leaves_plain_letters(text: str, folded: str) -> None:
    assert fold(text).text == folded


def test_folded_letters_know_where_they_came_from() -> None:
    token = tokenize("Été 👍 3️⃣")[2]
    assert token.text == "3"
    assert "Été 👍 3️⃣"[token.start : token.end].startswith("3")


@pytest.mark.parametrize(
    ("text", "cut"),
    [
        ("can't l'entrejambe mum's", ["cant", "l", "entrejambe", "mum", "s"]),
        ("opt-out", ["opt", "out"]),
        ("3-4 -3", ["3", "-", "4", "-", "3"]),
        ("7ish 4.5 4,5", ["7", "ish", "4.5", "4,5"]),
        ("6→4", ["6", "->", "4"]),
        ("l4", ["l", "4"]),
    ],
)
def test_text_is_cut_into_words_numbers_and_signs(text: str, cut: list[str]) -> None:
    assert words(text) == cut


def test_a_number_of_many_digits_has_no_value_and_does_no_harm() -> None:
    assert tokenize("9" * 5000)[0].value is None
    assert parse_reply("9" * 5000).pain is None


@pytest.mark.parametrize(
    ("text", "language"),
    [("done pain 3", "en"), ("hecho, me duele", "es"), ("fait, j'ai mal", "fr")],
)
def test_the_language_is_told_by_its_words(text: str, language: str) -> None:
    assert language_of(tokenize(text), "en") == language


def test_an_unknown_guess_is_no_obstacle() -> None:
    assert parse_reply("done, pain 3", language="tlh").pain == 3


def test_contrast_words_part_clauses_and_commas_part_segments() -> None:
    found = reading("back 6, sore but leg fine. ok?")
    assert [len(clause.segments) for clause in found.clauses] == [2, 1, 1]
    assert [clause.asks for clause in found.clauses] == [False, False, True]


def denied(text: str) -> list[str]:
    found = reading(text)
    pairs = zip(found.tokens, found.scopes.negator, strict=True)
    return [token.text for token, cue in pairs if cue >= 0 and token.kind == "word"]


@pytest.mark.parametrize(
    ("text", "inside", "outside"),
    [
        ("no pain in leg, back still sore", "leg", "back"),
        ("no pain in my leg back sore", "leg", "back"),
        ("no numbness, tingling, weakness", "weakness", "no"),
        ("no leg pain but foot numb", "leg", "foot"),
        ("numbness none", "numbness", "none"),
    ],
)
def test_a_denial_closes_where_something_else_is_said(
    text: str, inside: str, outside: str
) -> None:
    assert inside in denied(text)
    assert outside not in denied(text)


@pytest.mark.parametrize("text", ["not only back", "No it is sore", "no, numb foot"])
def test_some_noes_deny_nothing(text: str) -> None:
    assert denied(text) == []


@pytest.mark.parametrize(
    ("text", "role"),
    [
        ("3/10", "scale"),
        ("3 of 5", "fraction"),
        ("3 reps", "count"),
        ("day 3", "count"),
        ("8:30", "other"),
        ("1o", "unclear"),
        ("30", "big"),
        ("3", "plain"),
    ],
)
def test_a_number_is_what_its_place_makes_it(text: str, role: str) -> None:
    assert read_numbers(reading(text))[0].role == role


def test_other_languages_lend_words_that_cannot_be_mistaken() -> None:
    mixed = blended("en")
    assert mixed.facts("dolor") == lexicon("es").facts("dolor")
    assert "area.foot" not in mixed.facts("pie")  # the English one is eaten


def test_a_stored_reply_comes_back_the_same() -> None:
    for text in ("done, pain 3/10, leg better", "numb between my legs", "", "STOP"):
        reply = parse_reply(text)
        assert from_json(to_json(reply)) == reply


def test_a_reply_stored_with_an_unknown_field_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="mood"):
        from_json({"mood": "fine"})


def test_a_bare_yes_is_told_for_numbers_that_are_opted_out() -> None:
    assert is_bare_yes("Yes please!") and is_bare_yes("oui")
    assert not is_bare_yes("yes did it")


def test_who_is_this_alone_is_a_question_and_no_wrong_number() -> None:
    assert is_wrong_number("who is this? wrong number")
    assert not is_wrong_number("who is this?")
    assert is_wrong_number("mauvais numéro")
