"""Number words against num2words in three languages, as ratings and as halves."""

import pytest
from num2words import num2words

from reminders.logic.reply import parse_reply

LANGUAGES = ("en", "es", "fr")
TENS = [(language, n) for language in LANGUAGES for n in range(11)]
# How a rating is said in a sentence, and out of ten.
SAID = {"en": "pain {}", "es": "dolor {}", "fr": "douleur {}"}
OUT_OF = {"en": "{} out of {}", "es": "{} de {}", "fr": "{} sur {}"}
# num2words says halves as decimals ("three point five"); people say these.
HALF = {"en": "{} and a half", "es": "{} y medio", "fr": "{} et demi"}


def word(number: int, language: str) -> str:
    return str(num2words(number, lang=language))


@pytest.mark.parametrize(("language", "number"), TENS)
def test_a_number_word_is_the_rating_that_was_asked_for(
    language: str, number: int
) -> None:
    said = word(number, language)
    assert parse_reply(said, language=language, asked="pain").pain == number


@pytest.mark.parametrize(("language", "number"), TENS)
def test_a_number_word_beside_pain_is_a_rating(language: str, number: int) -> None:
    said = SAID[language].format(word(number, language))
    assert parse_reply(said, language=language).pain == number


@pytest.mark.parametrize(("language", "number"), TENS)
def test_words_out_of_ten_are_no_sum(language: str, number: int) -> None:
    """word2number 1.1 makes "three out of ten" 13."""
    said = OUT_OF[language].format(word(number, language), word(10, language))
    assert parse_reply(said, language=language).pain == number


@pytest.mark.parametrize(("language", "number"), [c for c in TENS if 0 < c[1] < 10])
def test_a_half_is_a_half_step(language: str, number: int) -> None:
    said = SAID[language].format(HALF[language].format(word(number, language)))
    assert parse_reply(said, language=language).pain == number + 0.5


@pytest.mark.parametrize(("language", "number"), [c for c in TENS if c[1] < 10])
def test_a_decimal_in_words_is_a_half_step(language: str, number: int) -> None:
    said = SAID[language].format(num2words(number + 0.5, lang=language))
    assert parse_reply(said, language=language).pain == number + 0.5


@pytest.mark.parametrize(
    ("text", "language", "pain"),
    [
        ("seven-ten", "en", 10),  # word2number 1.1: 17; here the end of a range
        ("no pain one bit better", "en", 0),
        ("un peu mal", "fr", None),  # text2num 3.1.0 at threshold 0: 1
        ("hecho en una hora", "es", None),
    ],
)
def test_where_other_readers_of_numbers_stumble(
    text: str, language: str, pain: float | None
) -> None:
    assert parse_reply(text, language=language, asked="session").pain == pain
