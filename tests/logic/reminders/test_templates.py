"""Every stored text: same placeholders everywhere, within its parts, safe to answer."""

import re
import tomllib
from pathlib import Path

import pytest

import reminders.logic.templates as templates
from reminders.logic.segments import measure
from reminders.logic.templates import (
    LANGUAGES,
    TAKEN_WORDS,
    TextError,
    TextTooLong,
    body_of,
    check_template,
    kinds,
    longest_values,
    placeholders,
)
from reminders.logic.wording import lint_health_words

EVERY = [(kind, language) for kind in kinds() for language in LANGUAGES]
SITE_VALUES = {"clinic", "emergency", "crisis", "phone", "opens"}
QUESTIONS = {"session", "pain", "reach", "safety", "who", "opt_out", "start"}
ANSWER = re.compile(r"(?:Reply|Responda|Répondez) ([^.?]*)")
REQUIRED_KINDS = """
reminder reminder_changed reminder_symptoms_only welcome welcome_confirmed help
opt_out_confirmation opt_out_confirmation_safety resumed resume_refused safety_spine
safety_chest_calf safety_crisis safety_injury_infection ask_safety ask_reach ask_pain
ask_who ask_opt_out thanks_better thanks_same thanks_done thanks_skipped answer_worse
answer_worse_closed answer_question answer_question_closed answer_unread answer_held
nudge last_text weekly_safety load_less load_full decision_lower decision_pause
decision_call questions staff_page staff_page_next
"""


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_kind_has_a_body_and_no_body_is_left_over(language: str) -> None:
    path = Path(templates.__file__).with_name("texts") / f"{language}.toml"
    stored = tomllib.loads(path.read_text(encoding="utf-8"))["bodies"]
    assert set(stored) == set(kinds()) == set(REQUIRED_KINDS.split())


@pytest.mark.parametrize("kind", kinds())
def test_placeholders_are_the_same_in_every_language(kind: str) -> None:
    found = {placeholders(body_of(kind, language)) for language in LANGUAGES}
    assert len(found) == 1
    assert found.pop() <= set(longest_values("en"))


@pytest.mark.parametrize(("kind", "language"), EVERY)
def test_body_fits_its_parts_with_the_longest_values(kind: str, language: str) -> None:
    measured = check_template(kind, language, body_of(kind, language))
    assert measured.encoding == "GSM-7"
    assert measured.parts <= kinds()[kind].parts <= 2


def test_reminders_are_held_to_one_part() -> None:
    one_part = {name for name, kind in kinds().items() if kind.parts == 1}
    assert {"reminder", "reminder_changed", "reminder_symptoms_only"} <= one_part


@pytest.mark.parametrize(("kind", "language"), EVERY)
def test_no_answer_is_asked_for_that_the_gateway_takes(
    kind: str, language: str
) -> None:
    asked = " ".join(ANSWER.findall(body_of(kind, language)))
    assert not TAKEN_WORDS & set(re.findall(r"\w+", asked))
    capitals = set(re.findall(r"[A-Z]{2,}", body_of(kind, language)))
    assert TAKEN_WORDS & capitals <= kinds()[kind].commands


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("ask_safety", {"en": "NEW NONE", "es": "NUEVO NADA", "fr": "NOUVEAU RIEN"}),
        ("weekly_safety", {"en": "NEW NONE", "es": "NUEVO NADA", "fr": "NOUVEAU RIEN"}),
        ("ask_who", {"en": "ME OTHER", "es": "YO OTRO", "fr": "MOI AUTRE"}),
        ("ask_opt_out", {"en": "KEEP NO", "es": "SEGUIR NO", "fr": "GARDER PLUS"}),
        ("welcome", dict.fromkeys(LANGUAGES, "OK")),
        ("last_text", dict.fromkeys(LANGUAGES, "OK")),
    ],
)
def test_closed_questions_offer_their_answers(kind: str, words: dict[str, str]) -> None:
    for language, offered in words.items():
        (asked, *_) = ANSWER.findall(body_of(kind, language))
        assert set(offered.split()) <= set(re.findall(r"\w+", asked))


@pytest.mark.parametrize("language", LANGUAGES)
def test_first_text_says_what_it_must(language: str) -> None:
    body = body_of("welcome", language)
    assert {"clinic", "emergency"} == placeholders(body)
    assert "STOP" in body
    assert {"en": "HELP", "es": "AYUDA", "fr": "AIDE"}[language] in body


@pytest.mark.parametrize(
    "kind",
    [kind for kind in kinds() if kind.startswith("safety_")]
    + ["welcome", "help", "answer_worse", "answer_worse_closed", "weekly_safety"]
    + ["ask_safety", "opt_out_confirmation_safety", "answer_held"],
)
def test_what_may_be_leaned_on_names_the_emergency_number(kind: str) -> None:
    assert "emergency" in placeholders(body_of(kind, "en"))


def test_the_crisis_text_names_the_crisis_line() -> None:
    assert "crisis" in placeholders(body_of("safety_crisis", "en"))


@pytest.mark.parametrize(
    "kind",
    [
        kind
        for kind in kinds()
        if not kind.startswith(("reminder", "staff", "questions"))
    ],
)
def test_only_what_the_site_knows_goes_into_an_answer(kind: str) -> None:
    assert placeholders(body_of(kind, "en")) <= SITE_VALUES


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_text_with_a_page_of_questions_does_not_say_about_what(
    language: str,
) -> None:
    body = body_of("questions", language)
    assert lint_health_words(body, language) == []
    assert placeholders(body) == {"clinic", "link"}


@pytest.mark.parametrize("language", LANGUAGES)
def test_staff_pages_hold_no_health_word_and_no_name(language: str) -> None:
    for kind in ("staff_page", "staff_page_next"):
        body = body_of(kind, language)
        assert lint_health_words(body, language) == []
        assert placeholders(body) == {"site", "url"}


@pytest.mark.parametrize(("kind", "language"), EVERY)
def test_no_text_names_a_diagnosis(kind: str, language: str) -> None:
    diagnoses = re.compile(
        r"\b(dis[ck]|hernia|sciati|ciati|lumb|nerv|stenos|sprain|cauda|cancer|tumo)",
        re.IGNORECASE,
    )
    assert diagnoses.search(body_of(kind, language)) is None


def test_thanks_and_reminders_leave_the_question_they_should() -> None:
    asks = {name: kind.asks for name, kind in kinds().items()}
    assert {asks[kind] for kind in asks if kind.startswith("thanks_")} == {"nothing"}
    assert {asks[kind] for kind in asks if kind.startswith("reminder")} == {"session"}
    assert asks["welcome"] == "start"
    assert asks["help"] is None
    assert set(asks.values()) - {None, "nothing"} == QUESTIONS


REMINDER = body_of("reminder", "en")


@pytest.mark.parametrize(
    ("body", "placeholder", "culprit", "hint"),
    [
        ("  ", None, None, "empty"),
        (REMINDER.replace("{dose}", ""), "dose", None, "missing"),
        (REMINDER + " {pain}", "pain", None, "no value"),
        (REMINDER + " {", None, "{", "lone"),
        (REMINDER.replace("{clinic}", "{clinic.name}"), None, "{", "lone"),
        (REMINDER.replace("?", "’", 1), None, "’", 'write "\'" instead'),
        (REMINDER.replace("?", "👍", 1), None, "👍", "doubles"),
        (REMINDER.replace("Done", "YES"), None, "YES", "another word"),
    ],
)
def test_a_body_that_cannot_be_used_is_refused_with_its_culprit(
    body: str, placeholder: str | None, culprit: str | None, hint: str
) -> None:
    with pytest.raises(TextError, match=re.escape(hint)) as refused:
        check_template("reminder", "en", body)
    assert refused.value.placeholder == placeholder
    assert refused.value.culprit == culprit


def test_a_body_too_long_names_how_much_and_the_longest_placeholder() -> None:
    room = 160 - check_template("reminder", "en", REMINDER).units
    assert check_template("reminder", "en", REMINDER + "." * room).units == 160
    with pytest.raises(TextTooLong, match="3 too many for 1 part") as refused:
        check_template("reminder", "en", REMINDER + "." * (room + 3))
    assert (refused.value.over, refused.value.placeholder) == (3, "exercise")


def test_a_clinic_name_with_a_costly_letter_is_named() -> None:
    with pytest.raises(TextError, match=r"\{clinic\}") as refused:
        check_template(
            "reminder", "es", body_of("reminder", "es"), {"clinic": "Clínica"}
        )
    assert (refused.value.placeholder, refused.value.culprit) == ("clinic", "í")


@pytest.mark.parametrize(
    ("kind", "language", "hint"),
    [("joke", "en", "unknown kind"), ("help", "de", "choose en, es, fr")],
)
def test_unknown_kind_or_language_is_refused(
    kind: str, language: str, hint: str
) -> None:
    with pytest.raises(TextError, match=hint):
        check_template(kind, language, "Hello")


@pytest.mark.parametrize("kind", ["reminder", "reminder_changed"])
def test_filler_of_the_longest_values_is_what_was_measured(kind: str) -> None:
    values = longest_values("fr")
    assert measure("".join(values.values())).encoding == "GSM-7"
    assert {name: len(values[name]) for name in ("clinic", "exercise", "dose")} == {
        "clinic": 18,
        "exercise": 24,
        "dose": 14,
    }
