"""The exercise library as pages: drawing, words in three languages, ladder, dose."""

from __future__ import annotations

import pytest

from programs import library
from tests.browsing import page_of, signed_in
from tests.cast import Cast


@pytest.mark.parametrize("role", ["clinician", "desk", "auditor", "owner", "lead"])
def test_everybody_sees_every_exercise_with_its_drawing(cast: Cast, role: str) -> None:
    page = page_of(signed_in(getattr(cast, role)).get("/exercises"))
    for exercise in library.load().values():
        assert exercise.text("en").name in page
    assert page.count("<svg xmlns") == len(library.load())


@pytest.mark.parametrize("code", sorted(library.load()))
def test_an_exercise_says_itself_in_three_languages(cast: Cast, code: str) -> None:
    page = page_of(signed_in(cast.clinician).get(f"/exercises/{code}"))
    for language in ("en", "es", "fr"):
        assert f'lang="{language}"' in page
        assert library.load()[code].text(language).short_name in page.replace(
            "&#x27;", "'"
        )


def test_a_rung_names_what_is_below_and_above_it(cast: Cast) -> None:
    page = page_of(signed_in(cast.clinician).get("/exercises/press_up"))
    assert "/exercises/prone_on_elbows" in page
    assert "/exercises/press_up_sag" in page
    assert "down to 3; then one rung down" in page


@pytest.mark.parametrize("code", ["handstand", "../phrases", "press_up.svg", "%00"])
def test_an_unknown_exercise_is_not_found(cast: Cast, code: str) -> None:
    answer = signed_in(cast.clinician).get(f"/exercises/{code}")
    assert answer.status_code == 404


def test_a_visitor_signs_in_first(cast: Cast) -> None:
    browser = signed_in(cast.clinician)
    browser.logout()
    assert browser.get("/exercises").status_code == 302
