"""Texts made from values: reminders, safety texts, staff-written ones."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reminders.logic.templates import kinds
from reminders.logic.wording import (
    LANGUAGES,
    TextError,
    lint_health_words,
    reminder,
    render,
)

SITE = {
    "clinic": "Harbor Rehab",
    "emergency": "911",
    "crisis": "988",
    "phone": "+12025550143",
    "opens": "Mon 8:00",
    "site": "North",
    "url": "https://clinic.example/t",
    "link": "https://clinic.example/q/k3mXqv0Zt5rJ8yWc2hLd1g",
}
SESSION = {"exercise": "Prone on elbows", "dose": "3 x 30 s", "more": " +1 more"}


def first(language: str, **changes: object) -> str:
    values: dict[str, object] = {
        "clinic": "Harbor Rehab",
        "exercise": "Prone on elbows",
        "dose": "3 x 30 s",
    }
    return reminder(language=language, **(values | changes)).body  # type: ignore[arg-type]


def test_reminder_names_clinic_session_and_three_questions() -> None:
    text = reminder(
        language="en",
        clinic="Harbor Rehab",
        exercise="Prone on elbows",
        dose="3 x 30 s",
        more=1,
    )
    assert text.body == (
        "Harbor Rehab: Prone on elbows, 3 x 30 s +1 more. Done or skipped? Pain 0-10? "
        "How far does it go: back, buttock, thigh, knee, calf, foot?"
    )
    assert (text.kind, text.asks, text.segments.parts) == ("reminder", "session", 1)


@pytest.mark.parametrize(
    ("language", "more", "phrase"),
    [
        ("en", 0, "30 s. Done"),
        ("en", 4, "30 s +4 more. Done"),
        ("es", 1, "30 s +1 mas. "),
        ("fr", 1, "30 s +1 autre. "),
        ("fr", 2, "30 s +2 autres. "),
    ],
)
def test_other_exercises_are_counted(language: str, more: int, phrase: str) -> None:
    assert phrase in first(language, more=more)


@pytest.mark.parametrize(
    ("language", "word"), [("en", "NEW"), ("es", "NUEVA"), ("fr", "NOUVELLE")]
)
def test_a_changed_dose_is_called_new(language: str, word: str) -> None:
    assert word in first(language, changed=True)
    assert word not in first(language)


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_kind_is_rendered_from_the_sites_usual_values(language: str) -> None:
    for kind in kinds():
        text = render(kind=kind, language=language, **SITE, **SESSION)
        assert "{" not in text.body
        assert text.segments.parts <= kinds()[kind].parts


def test_costly_characters_in_values_become_plain() -> None:
    text = first("es", clinic="Clínica “Sol”", exercise="Boca abajo – codos")
    assert text.startswith('Clinica "Sol": Boca abajo - codos, ')


def test_a_value_is_put_on_one_line_without_control_characters() -> None:
    assert first("en", clinic=" Harbor\n\x00Rehab\ud800 ").startswith("Harbor Rehab: ")


def test_a_placeholder_inside_a_value_stays_text() -> None:
    assert "{dose}" in first("en", exercise="{dose}")


@pytest.mark.parametrize("value", ["", "  ", "\n"])
def test_an_empty_value_is_refused(value: str) -> None:
    with pytest.raises(TextError, match="emergency") as refused:
        render(kind="safety_spine", language="en", clinic="Harbor", emergency=value)
    assert refused.value.placeholder == "emergency"


def test_a_safety_text_is_made_even_when_it_runs_long() -> None:
    text = render(
        kind="safety_spine", language="en", clinic="Harbor " * 30, emergency="911"
    )
    assert text.segments.parts > 2


def test_a_clinics_own_body_takes_the_place_of_the_stored_one() -> None:
    text = render(
        kind="thanks_done", language="en", body="Thanks from {clinic}!", **SITE
    )
    assert text.body == "Thanks from Harbor Rehab!"
    assert text.asks == "nothing"


@given(st.text(max_size=40), st.sampled_from(LANGUAGES))
def test_any_exercise_name_makes_a_text_or_a_clear_refusal(
    name: str, language: str
) -> None:
    try:
        body = first(language, exercise=name)
    except TextError as refused:
        assert refused.placeholder == "exercise"
    else:
        assert body.encode()


@pytest.mark.parametrize(
    ("language", "body", "words"),
    [
        ("en", "Please call us back about Tuesday.", []),
        ("en", "How is your back, and the LEG?", ["your back", "LEG"]),
        ("en", "Your sciatica and disc: your MRI is in", ["sciatica", "disc", "MRI"]),
        ("en", "Legal matters and a footnote", []),
        ("en", "pain, pain and more pain", ["pain"]),
        ("es", "¿Cómo está la ciática? ¿Y el pie?", ["ciática", "pie"]),
        ("es", "Le esperamos el martes", []),
        ("fr", "Votre fièvre et le genou", ["fièvre", "genou"]),
        ("fr", "J'ai mal à la tête", ["mal à la"]),
        ("fr", "A mardi, dossier en main", []),
        ("en", "", []),
    ],
)
def test_health_words_are_named_as_written(
    language: str, body: str, words: list[str]
) -> None:
    assert lint_health_words(body, language) == words


def test_health_words_need_a_known_language() -> None:
    with pytest.raises(TextError, match="choose en, es, fr"):
        lint_health_words("Hallo", "de")


@given(st.text(), st.sampled_from(LANGUAGES))
def test_health_words_never_raise(body: str, language: str) -> None:
    assert len(lint_health_words(body, language)) <= len(body)
