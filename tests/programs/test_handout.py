"""The handout: the client's language, the running dose, cautions, emergency words."""

from __future__ import annotations

import re
import string
from dataclasses import replace

import pytest

from clinic import scope
from programs import handout, library, plans, prescribing
from tests.browsing import page_of, signed_in
from tests.cast import NOW, Cast, prescribe


def sheet_of(cast: Cast, language: str) -> str:
    with scope.within(cast.organization.id):
        cast.client.language = language
        cast.client.save(update_fields=["language"])
    path = f"/clients/{cast.client.id}/handout"
    return page_of(signed_in(cast.clinician).get(path))


@pytest.mark.parametrize(
    ("language", "title", "dose", "often"),
    [
        (
            "en",
            "Your home program",
            "Hold 30 seconds, repeat 3 times",
            "5 times a day between 08:00 and 20:30",
        ),
        (
            "es",
            "Su programa en casa",
            "Mantenga 30 segundos, repita 3 veces",
            "5 veces al día entre las 08:00 y las 20:30",
        ),
        (
            "fr",
            "Votre programme à la maison",
            "Tenez 30 secondes, répétez 3 fois",
            "5 fois par jour entre 08:00 et 20:30",
        ),
    ],
)
def test_the_sheet_speaks_the_client_s_language(
    cast: Cast, language: str, title: str, dose: str, often: str
) -> None:
    prescribe(cast.client, cast.clinician)
    page = sheet_of(cast, language)
    for words in (title, dose, often, f'lang="{language}"', "911", "988"):
        assert words in page
    emergency = library.phrases()["stop_if"]["emergency"][language]
    assert emergency in page.replace("&#x27;", "'")
    name = library.load()["press_up"].text(language).name
    assert f"<title>{name}</title>" in page or language == "en"
    assert page.count("<svg xmlns") == 2


def test_the_sheet_follows_the_running_dose(cast: Cast) -> None:
    program = prescribe(cast.client, cast.clinician)
    with scope.within(cast.organization.id):
        old = plans.of_revision(prescribing.current_revision(program))
        lower = replace(old, items=(replace(old.items[0], hold_seconds=10),))
        prescribing.revise(program, lower, by=cast.clinician, reason="less", now=NOW)
    page = sheet_of(cast, "en")
    assert "Hold 10 seconds" in page
    assert "Press-up" not in page


def test_a_held_program_shows_no_exercise_to_do(cast: Cast) -> None:
    program = prescribe(cast.client, cast.clinician)
    with scope.within(cast.organization.id):
        prescribing.hold(program, actor="service", now=NOW)
    page = sheet_of(cast, "en")
    assert "leave the exercises out" in page
    assert "Hold 30 seconds" not in page
    assert "In an emergency" in page


def test_without_a_program_the_sheet_says_so_and_keeps_the_emergency_words(
    cast: Cast,
) -> None:
    page = sheet_of(cast, "fr")
    assert "pas de programme en ce moment" in page
    assert "Appelez le 911" in page


def test_the_words_exist_in_every_language_with_the_same_gaps() -> None:
    gaps = {
        language: {
            name: {field for _, field, _, _ in string.Formatter().parse(text) if field}
            for name, text in said.items()
        }
        for language, said in handout.words().items()
    }
    assert set(gaps) == {"en", "es", "fr"}
    assert gaps["en"] == gaps["es"] == gaps["fr"]


def test_a_drawing_is_named_once_in_the_language_of_the_sheet(cast: Cast) -> None:
    prescribe(cast.client, cast.clinician)
    titles = re.findall(r"<title>(.*?)</title>", sheet_of(cast, "es"))
    assert len([one for one in titles if "Plumbline" not in one]) == 2
