"""The phrasings of one language, read once from data."""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

LANGUAGES: Final = ("en", "es", "fr")
_FOLDER: Final = Path(__file__).parent / "phrasings"


@dataclass(frozen=True, slots=True)
class Phrasebook:
    """Lists of phrasings by dotted name, such as `overall.better`."""

    language: str
    lists: Mapping[str, tuple[str, ...]]

    def of(self, name: str) -> tuple[str, ...]:
        """Return the phrasings called `name`; empty if the language has none."""
        return self.lists.get(name, ())

    def phrasings(self) -> tuple[str, ...]:
        """Return every distinct phrasing, leaving out the single words of slots."""
        names = (name for name in self.lists if not name.startswith("words."))
        return tuple(dict.fromkeys(each for name in names for each in self.lists[name]))


@cache
def phrasebook(language: str) -> Phrasebook:
    """Return the phrasings of `language`; ValueError for one without a file."""
    if language not in LANGUAGES:
        raise ValueError(
            f"no phrasings in {language!r}: use one of {', '.join(LANGUAGES)}"
        )
    text = (_FOLDER / f"{language}.toml").read_text(encoding="utf-8")
    return Phrasebook(language, dict(_flat(tomllib.loads(text), "")))


def _flat(
    table: Mapping[str, Any], prefix: str
) -> Iterator[tuple[str, tuple[str, ...]]]:
    for name, value in table.items():
        if isinstance(value, dict):
            yield from _flat(value, f"{prefix}{name}.")
        else:
            yield f"{prefix}{name}", tuple(value)
