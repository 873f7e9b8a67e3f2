"""The exercise library: whole in three languages, mirrored, bounded, and refusing.

Dose bounds and common ranges are common practice; the letters a name may use are
the GSM 7-bit basic alphabet of 3GPP TS 23.038, asked of an independent codec.
"""

import copy
import re
import tomllib
from dataclasses import FrozenInstanceError
from pathlib import Path
from typing import Any

import gsm0338
import pytest

import programs.library as library
from programs.library.entries import exercise_from
from programs.library.starters import starter_from
from programs.logic import ladder
from programs.logic.dose import check_dose, limits
from programs.logic.exercises import (
    DOSE_BOUNDS,
    KIND_FIELDS,
    LADDERS,
    LANGUAGES,
    Exercise,
    SaferRule,
    ladder_of,
    mirror_code,
    places,
)

FOLDER = Path(library.__file__).parent
CODES = [
    "prone_lying",
    "prone_on_elbows",
    "press_up",
    "press_up_sag",
    "elbows_shift_left",
    "elbows_shift_right",
    "press_up_shift_left",
    "press_up_shift_right",
    "side_glide_left",
    "side_glide_right",
    "shift_correction_left",
    "shift_correction_right",
    "walking",
    "nerve_glide",
    "flexion_in_lying",
    "standing_extension",
]
LEFT = [code for code in CODES if code.endswith("_left")]
SWAPS = {
    "en": [(r"\bleft\b", r"\bright\b")],
    "es": [(r"\bizquierd[oa]\b|\bizq\.", r"\bderech[oa]\b|\bder\.")],
    "fr": [(r"\bgauche\b", r"\bdroite?\b")],
}


def _raw(name: str) -> dict[str, Any]:
    return tomllib.loads((FOLDER / "exercises" / f"{name}.toml").read_text("utf-8"))


def _words(exercise: Exercise, language: str) -> list[str]:
    text = exercise.texts[language]
    return [text.name, text.purpose, *text.steps]


def _sides(words: list[str], language: str) -> list[str]:
    """L and R in the order the words say them."""
    ((left, right),) = SWAPS[language]
    found = re.finditer(f"(?P<L>{left})|(?P<R>{right})", " ".join(words), re.I)
    return [str(hit.lastgroup) for hit in found]


def test_library_holds_exactly_the_exercises_programs_are_written_with() -> None:
    assert sorted(library.load()) == sorted(CODES)


@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("language", LANGUAGES)
def test_every_exercise_is_whole_in_every_language(code: str, language: str) -> None:
    text = library.load()[code].text(language)
    assert text.name and text.purpose.endswith(".")
    assert len(text.steps) >= 4
    assert all(step[-1] in ".!" for step in text.steps)
    assert text.cautions and len(text.stop_if) >= 5


@pytest.mark.parametrize("code", CODES)
def test_languages_do_not_repeat_one_another(code: str) -> None:
    texts = library.load()[code].texts.values()
    assert len({text.steps for text in texts}) == len(LANGUAGES)
    assert len({text.purpose for text in texts}) == len(LANGUAGES)


def test_a_language_that_is_not_carried_reads_in_english() -> None:
    exercise = library.load()["press_up"]
    assert exercise.text("pl") is exercise.texts["en"]


@pytest.mark.parametrize("code", CODES)
def test_short_names_cost_one_septet_a_letter(code: str) -> None:
    for text in library.load()[code].texts.values():
        coded = text.short_name.encode("gsm03.38")
        assert len(coded) == len(text.short_name) <= 24
        assert b"\x1b" not in coded


def test_the_codec_asked_about_short_names_is_the_outside_one() -> None:
    codec = gsm0338.Codec()
    with pytest.raises(UnicodeEncodeError):
        codec.encode("más")
    assert codec.encode("è")[0] == b"\x04"


@pytest.mark.parametrize("code", CODES)
def test_dose_is_inside_the_bounds_and_carries_its_kind_only(code: str) -> None:
    exercise = library.load()[code]
    assert sorted(exercise.dose.stated()) == sorted(KIND_FIELDS[exercise.kind])
    for field, value in exercise.dose.stated().items():
        low, high = DOSE_BOUNDS[field]
        first, last = exercise.common_range[field]
        assert low <= first <= value <= last <= high


@pytest.mark.parametrize("code", CODES)
def test_every_common_dose_may_be_prescribed(code: str) -> None:
    exercise = library.load()[code]
    checked = check_dose(exercise.kind, **exercise.dose.stated())
    assert checked.times_per_day == exercise.dose.times_per_day


def test_the_library_and_the_prescription_know_the_same_bounds() -> None:
    assert {field: limits(field) for field in DOSE_BOUNDS} == dict(DOSE_BOUNDS)


def test_common_holds_are_five_to_sixty_seconds() -> None:
    holds = [e for e in library.load().values() if e.kind == "hold"]
    assert holds and {e.common_range["hold_seconds"] for e in holds} == {(5, 60)}


@pytest.mark.parametrize(
    ("code", "steps"),
    [
        ("prone_on_elbows", [30, 15, 8, 5]),
        ("press_up", [10, 5, 3]),
        ("walking", [10, 5, 3]),
        ("prone_lying", [3, 2, 1]),
    ],
)
def test_safer_lowers_one_field_step_by_step_to_its_floor(
    code: str, steps: list[int]
) -> None:
    exercise = library.load()[code]
    value: int | None = exercise.dose.stated()[exercise.safer.field]
    seen = []
    while value is not None:
        seen.append(value)
        value = exercise.safer.lower(value)
    assert seen == steps


def test_a_small_step_still_goes_down() -> None:
    rule = SaferRule(field="repetitions", factor=0.9, floor=1, then="stop")
    assert rule.lower(2) == 1


@pytest.mark.parametrize("name", LADDERS)
def test_rungs_follow_one_another_without_a_gap(name: str) -> None:
    rungs = [exercise.rung for exercise in ladder_of(library.load().values(), name)]
    assert rungs == list(range(rungs[0], rungs[0] + len(rungs)))
    assert rungs[0] == (2 if name.startswith("extension_") else 1)


@pytest.mark.parametrize(
    ("code", "below", "above"),
    [
        ("prone_lying", None, "prone_on_elbows"),
        ("press_up_sag", "press_up", None),
        ("elbows_shift_left", "prone_lying", "press_up_shift_left"),
        ("press_up_shift_right", "elbows_shift_right", None),
        ("shift_correction_left", "side_glide_left", None),
        ("side_glide_right", None, "shift_correction_right"),
    ],
)
def test_neighbors_on_the_ladder(
    code: str, below: str | None, above: str | None
) -> None:
    found = places(library.load().values())
    assert ladder.previous_rung(code, found) == below
    assert ladder.next_rung(code, found) == above


def test_a_rule_that_falls_back_a_rung_has_one_to_fall_to() -> None:
    exercises = library.load()
    found = places(exercises.values())
    for code, exercise in exercises.items():
        if exercise.safer.then == "rung_down":
            assert ladder.previous_rung(code, found), code


@pytest.mark.parametrize("code", LEFT)
@pytest.mark.parametrize("language", LANGUAGES)
def test_right_says_the_opposite_side_wherever_left_says_one(
    code: str, language: str
) -> None:
    exercises = library.load()
    mirror = exercises[mirror_code(code) or ""]
    left = _sides(_words(exercises[code], language), language)
    right = _sides(_words(mirror, language), language)
    assert left and right == ["R" if side == "L" else "L" for side in left]


@pytest.mark.parametrize("code", LEFT)
def test_mirrored_exercises_differ_in_side_words_only(code: str) -> None:
    left, right = _raw(code), _raw(mirror_code(code) or "")
    for table in (left, right):
        for field in ("code", "side", "ladder", "text"):
            table.pop(field)
    assert left == right


@pytest.mark.parametrize(
    ("code", "step", "said"),
    [
        ("shift_correction_left", 1, ["L", "L"]),
        ("shift_correction_left", 2, ["R", "R"]),
        ("shift_correction_left", 3, ["R", "L"]),
        ("side_glide_left", 1, ["L", "L"]),
        ("side_glide_left", 2, ["R", "R"]),
        ("side_glide_left", 3, ["L"]),
        ("elbows_shift_left", 1, ["L"]),
        ("press_up_shift_left", 1, ["L"]),
    ],
)
@pytest.mark.parametrize("language", LANGUAGES)
def test_hands_and_hips_go_to_the_side_anatomy_asks(
    code: str, step: int, said: list[str], language: str
) -> None:
    """A left shift: left hand on left ribs, right hand on right hip, hips go left."""
    steps = library.load()[code].texts[language].steps
    assert _sides([steps[step]], language) == said


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_exercise_ends_in_the_emergency_warning(language: str) -> None:
    warning = library.phrases()["stop_if"]["emergency"][language]
    assert all(warning in e.texts[language].stop_if for e in library.load().values())


def test_exercises_cannot_be_changed_once_read() -> None:
    exercise = library.load()["walking"]
    with pytest.raises(FrozenInstanceError):
        exercise.rung = 2  # type: ignore[misc]
    with pytest.raises(TypeError):
        exercise.texts["en"] = exercise.texts["fr"]  # type: ignore[index]


BREAKS: list[tuple[str, list[str], Any, str]] = [
    ("unknown kind", ["kind"], "strech", "kind"),
    ("hold of zero", ["dose", "hold_seconds"], 0, "hold_seconds"),
    ("hold of 4000 s", ["dose", "hold_seconds"], 4000, "hold_seconds"),
    ("true is not one", ["dose", "sets"], True, "sets"),
    ("minutes on a hold", ["dose", "duration_minutes"], 5, "duration_minutes"),
    ("dose outside its range", ["dose", "repetitions"], 20, "repetitions"),
    ("range upside down", ["common_range", "sets"], [2, 1], "high"),
    ("range of one", ["common_range", "sets"], [2], "common_range.sets"),
    ("factor that raises", ["safer", "factor"], 1.5, "factor"),
    ("floor of nothing", ["safer", "floor"], 0, "floor"),
    ("safer by another kind", ["safer", "field"], "duration_minutes", "field"),
    ("side against the ladder", ["side"], "left", "side"),
    ("ladder nobody has", ["ladder"], "spiral", "ladder"),
    ("rung zero", ["rung"], 0, "rung"),
    ("name that costs double", ["text", "es", "short_name"], "más", "short_name"),
    ("name too long", ["text", "fr", "short_name"], "a" * 25, "short_name"),
    ("no steps", ["text", "en", "steps"], [], "steps"),
    ("an empty step", ["text", "en", "steps"], ["Lie.", " "], "steps"),
    ("empty purpose", ["text", "en", "purpose"], " ", "purpose"),
    ("caution nobody wrote", ["cautions"], ["be_careful"], "cautions"),
    ("stop rule twice", ["stop_if"], ["dizzy", "dizzy"], "stop_if"),
    ("misspelt field", ["ruung"], 1, "ruung"),
    ("language not carried", ["text", "pl"], {}, "pl"),
    ("code of another file", ["code"], "press_up", "code"),
]


@pytest.mark.parametrize(
    ("path", "value", "field"),
    [pytest.param(*case[1:], id=case[0]) for case in BREAKS],
)
def test_a_broken_file_is_refused_by_file_and_field(
    path: list[str], value: object, field: str
) -> None:
    entry = copy.deepcopy(_raw("prone_on_elbows"))
    table = entry
    for step in path[:-1]:
        table = table[step]
    table[path[-1]] = value
    with pytest.raises(library.LibraryError) as caught:
        exercise_from(entry, "prone_on_elbows.toml", library.phrases())
    assert caught.value.field == field
    assert "prone_on_elbows.toml" in caught.value.file


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_missing_language_is_refused(language: str) -> None:
    entry = _raw("walking")
    del entry["text"][language]
    with pytest.raises(library.LibraryError, match=rf"walking.toml: {language}:"):
        exercise_from(entry, "walking.toml", library.phrases())


def test_starters_prescribe_known_exercises_within_their_common_range() -> None:
    exercises = library.load()
    for starter in library.starters().values():
        for item in starter.items:
            common = exercises[item.code].common_range
            for field, value in item.dose.stated().items():
                low, high = common[field]
                assert low <= value <= high, (starter.code, item.code, field)


def test_starters_are_named_in_every_language_and_carry_the_emergency_rule() -> None:
    for starter in library.starters().values():
        assert set(starter.names) == set(starter.uses) == set(LANGUAGES)
        assert "emergency" in starter.stop_rules
        assert starter.name("pl") == starter.name("en")


def test_sided_starters_come_in_pairs() -> None:
    starters = library.starters()
    for left, right in (
        ("hips_left", "hips_right"),
        ("left_shift_first", "right_shift_first"),
    ):
        mirrored = [mirror_code(item.code) for item in starters[left].items]
        assert mirrored == [item.code for item in starters[right].items]
        doses = [[i.dose for i in starters[code].items] for code in (left, right)]
        assert doses[0] == doses[1]


def test_a_shift_is_straightened_before_any_extension() -> None:
    exercises = library.load()
    for code in ("left_shift_first", "right_shift_first"):
        items = library.starters()[code].items
        assert {exercises[item.code].direction for item in items} == {"lateral"}


STARTER: dict[str, Any] = {
    "name": dict.fromkeys(LANGUAGES, "Name"),
    "use": dict.fromkeys(LANGUAGES, "Use"),
    "times_per_day": 4,
    "review_after_days": 3,
    "stop_rules": ["emergency"],
    "items": [{"code": "walking", "duration_minutes": 5, "times_per_day": 2}],
}


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"review_after_days": 90}, "review_after_days"),
        ({"stop_rules": ["hurts"]}, "stop_rules"),
        ({"items": []}, "items"),
        ({"items": STARTER["items"] * 4}, "items"),
        ({"items": [{"code": "hopping"}]}, "code"),
        ({"times_per_day": 1}, "times_per_day"),
        ({"name": {"en": "Name"}}, "es"),
        ({"color": "blue"}, "color"),
    ],
)
def test_a_broken_starter_is_refused_by_field(
    changed: dict[str, Any], field: str
) -> None:
    with pytest.raises(library.LibraryError) as caught:
        starter_from(
            "mine",
            {**STARTER, **changed},
            file="templates.toml",
            library=library.load(),
            phrases=library.phrases(),
        )
    assert caught.value.field == field
    assert "templates.toml [mine]" in caught.value.file
