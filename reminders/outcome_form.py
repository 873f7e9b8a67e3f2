"""The forms of outcome measures: what a page asks, and what was filled in.

A value that is not a number stays as it was typed, so that the score refuses it by
name instead of the form guessing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.http import QueryDict

from programs.logic.outcomes import grc, nprs, psfs, rmdq

LOWEST = {"nprs": 0, "psfs": 0, "grc": -5}
_WORDED = {"nprs": nprs, "psfs": psfs, "grc": grc}


@dataclass(frozen=True, slots=True)
class Option:
    """One choice: the value sent, what is read, and whether it is chosen already."""

    value: str
    words: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class Question:
    """One question of a page: one choice, or with `many` any number of them."""

    name: str
    words: str
    ends: tuple[str, ...]
    options: tuple[Option, ...]
    many: bool = False


def asked(
    measure: str, language: str, activities: list[str], given: QueryDict | None = None
) -> list[Question]:
    """What the client's page asks; `given` keeps what was chosen before a refusal."""
    if measure == "rmdq":
        return [_statements(given)]
    words = _WORDED[measure]
    ends: tuple[str, ...] = words.ENDS[language]  # type: ignore[attr-defined]
    if measure == "psfs":
        return [
            _scale(f"rating_{index}", name, ends, LOWEST[measure], given)
            for index, name in enumerate(activities, 1)
        ]
    said: str = words.ASK[language]  # type: ignore[attr-defined]
    name = "pain" if measure == "nprs" else "change"
    return [_scale(name, said, ends, LOWEST[measure], given)]


def answered(measure: str, given: QueryDict, activities: list[str]) -> dict[str, Any]:
    """The answers of the client's page, ready to be scored."""
    if measure == "rmdq":
        return _ticks(given)
    if measure == "psfs":
        return {"activities": _ratings(given, activities)}
    return _numbers(given, "pain" if measure == "nprs" else "change")


def typed(measure: str, given: QueryDict) -> dict[str, Any]:
    """The answers of the clinician's form, ready to be scored."""
    if measure == "rmdq":
        return _numbers(given, "total") or _ticks(given)
    if measure == "psfs":
        names = [given.get(f"name_{index}", "") for index in _places()]
        return {"activities": _ratings(given, names)}
    if measure == "odi":
        return _numbers(given, "percent") or _numbers(given, "points", "answered")
    fields = {"nprs": ("pain",), "grc": ("change",), "start_back": _START_BACK}
    return _numbers(given, *fields[measure])


def rows(activities: list[str], given: QueryDict | None) -> list[dict[str, str]]:
    """The five lines of the list of own activities on the clinician's form."""
    found = []
    for index in _places():
        known = activities[index - 1] if index <= len(activities) else ""
        found.append(
            {
                "index": str(index),
                "name": given.get(f"name_{index}", "") if given else known,
                "rating": given.get(f"rating_{index}", "") if given else "",
            }
        )
    return found


def statements(given: QueryDict | None) -> Question:
    """The Roland-Morris statements as one question with boxes."""
    return _statements(given)


_START_BACK = ("total", "distress")


def _places() -> range:
    return range(1, psfs.MOST + 1)


def _statements(given: QueryDict | None) -> Question:
    ticked = set(given.getlist("ticked")) if given else set()
    options = tuple(
        Option(str(number), words, str(number) in ticked)
        for number, words in enumerate(rmdq.ITEMS, 1)
    )
    return Question("ticked", rmdq.INTRO, (), options, many=True)


def _scale(
    name: str, words: str, ends: tuple[str, ...], low: int, given: QueryDict | None
) -> Question:
    chosen = given.get(name, "") if given else ""
    steps = [str(step) for step in range(low, low + 11)]
    signed = [f"+{step}" if low < 0 and int(step) > 0 else step for step in steps]
    options = tuple(
        Option(step, shown, step == chosen)
        for step, shown in zip(steps, signed, strict=True)
    )
    return Question(name, words, ends, options)


def _ticks(given: QueryDict) -> dict[str, Any]:
    ticked = [_number(one) for one in given.getlist("ticked")]
    found: dict[str, Any] = {"ticked": ticked}
    if given.get("none") == "on":
        found["none"] = True
    return found


def _ratings(given: QueryDict, names: list[str]) -> list[dict[str, Any]]:
    """One line an activity; a rating without a name is kept, to be refused."""
    found = []
    for index, name in enumerate(names, 1):
        rating = given.get(f"rating_{index}", "").strip()
        if name.strip() or rating:
            value = _number(rating) if rating else None
            found.append({"name": name, "rating": value})
    return found


def _numbers(given: Mapping[str, Any], *names: str) -> dict[str, Any]:
    """Those of the fields that were filled in."""
    typed = {name: str(given.get(name, "")).strip() for name in names}
    return {name: _number(value) for name, value in typed.items() if value}


def _number(text: str) -> int | float | str:
    """The number typed, with a point or a comma; otherwise the text itself."""
    try:
        return int(text)
    except ValueError:
        pass
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return text
