"""The exercise library as pages: each exercise with its drawing, words and ladder."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from clinic import doors
from clinic.errors import NotYours
from programs import drawings, library
from programs.logic import ladder
from programs.logic.dose import describe
from programs.logic.exercises import LADDERS, LANGUAGES, Exercise, ladder_of, places
from programs.plans import ItemPlan, dose_of

LADDER_WORDS = {
    "extension": "Extension",
    "extension_left": "Extension, hips to the left",
    "extension_right": "Extension, hips to the right",
    "lateral_left": "Sideways, hips to the left",
    "lateral_right": "Sideways, hips to the right",
    "function": "Back to daily life",
}
LANGUAGE_WORDS = {"en": "English", "es": "Spanish", "fr": "French"}
FIELD_WORDS = {
    "hold_seconds": "hold, seconds",
    "repetitions": "repetitions",
    "sets": "sets",
    "duration_minutes": "minutes",
    "times_per_day": "times a day",
}


@doors.page("exercise.view")
def exercises(request: HttpRequest) -> HttpResponse:
    """Every ladder of the library, least force first."""
    everything = library.load().values()
    ladders = [
        {
            "title": LADDER_WORDS[name],
            "exercises": [_card(one) for one in ladder_of(everything, name)],
        }
        for name in LADDERS
    ]
    return render(request, "programs/exercises.html", {"ladders": ladders})


@doors.page("exercise.view")
def exercise(request: HttpRequest, code: str) -> HttpResponse:
    """One exercise: drawing, words in three languages, dose, place on its ladder."""
    found = library.load().get(code)
    if found is None:
        raise NotYours
    where = places(library.load().values())
    context = _card(found) | {
        "said": [
            {"code": one, "language": LANGUAGE_WORDS[one], "text": found.text(one)}
            for one in LANGUAGES
        ],
        "ladder": LADDER_WORDS[found.ladder],
        "ranges": [
            (FIELD_WORDS[name], low, high)
            for name, (low, high) in found.common_range.items()
        ],
        "below": _neighbor(ladder.previous_rung(code, where)),
        "above": _neighbor(ladder.next_rung(code, where)),
        "safer_field": FIELD_WORDS[found.safer.field],
    }
    return render(request, "programs/exercise.html", context)


def _card(exercise: Exercise) -> dict[str, Any]:
    usual = ItemPlan(exercise.code, **exercise.dose.stated())
    return {
        "exercise": exercise,
        "name": exercise.text("en").name,
        "purpose": exercise.text("en").purpose,
        "drawing": drawings.inline(exercise.code, "en"),
        "dose": describe(dose_of(usual, exercise.dose.times_per_day), form="long"),
    }


def _neighbor(code: str | None) -> dict[str, str] | None:
    if code is None:
        return None
    return {"code": code, "name": library.load()[code].text("en").name}
