"""The exercise library and the starter templates, read from the files beside this.

Read once a process: the files are part of the program, not settings.
"""

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from types import MappingProxyType
from typing import Any

from programs.library.entries import exercise_from
from programs.library.fields import LibraryError, Phrases, phrases_from
from programs.library.starters import starter_from
from programs.logic.exercises import Exercise
from programs.logic.starters import StarterTemplate

__all__ = ["LibraryError", "drawing", "load", "phrases", "starters"]


@cache
def load() -> Mapping[str, Exercise]:
    """Every exercise of the library by code, in ladder order within each ladder.

    Raises `LibraryError` naming the file and the field at fault.
    """
    shared = phrases()
    found = [exercise_from(_table(path), path.name, shared) for path in _entries()]
    found.sort(key=lambda exercise: (exercise.ladder, exercise.rung))
    return MappingProxyType({exercise.code: exercise for exercise in found})


@cache
def phrases() -> Phrases:
    """The shared stop rules and cautions, by kind, key and language."""
    path = _folder() / "phrases.toml"
    return phrases_from(_table(path), path.name)


@cache
def starters() -> Mapping[str, StarterTemplate]:
    """The home-program templates a new organization starts with, by code."""
    path = _folder() / "templates.toml"
    table = _table(path)
    found = (
        starter_from(code, entry, file=path.name, library=load(), phrases=phrases())
        for code, entry in table.items()
    )
    return MappingProxyType({starter.code: starter for starter in found})


@cache
def drawing(code: str) -> str:
    """The line drawing of an exercise as SVG text, trusted and ready to inline.

    Raises `LibraryError` for a code the library does not carry, so that no name
    from outside ever becomes a path.
    """
    if code not in load():
        raise LibraryError("drawings", "code", f"no exercise is called {code!r}")
    path = _folder() / "drawings" / f"{code}.svg"
    if not path.is_file():
        raise LibraryError(path.name, "code", "the drawing is missing")
    return path.read_text(encoding="utf-8")


def _folder() -> Traversable:
    return files("programs.library")


def _entries() -> list[Traversable]:
    folder = _folder() / "exercises"
    named = (path for path in folder.iterdir() if path.name.endswith(".toml"))
    return sorted(named, key=lambda path: path.name)


def _table(path: Traversable) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, tomllib.TOMLDecodeError) as error:
        raise LibraryError(path.name, "file", str(error)) from error
