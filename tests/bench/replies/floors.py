"""Floors under the figures: what was once reached, less a point, is never lost."""

import json
from collections.abc import Iterator, Mapping
from math import ceil, floor

from tests.bench.replies.figures import (
    LANGUAGES,
    Figure,
    figures,
    of_language,
    read_split,
)
from tests.bench.replies.rows import FOLDER, SPLITS

PATH = FOLDER / "floors.json"
SLACK = 1.0

Floors = Mapping[str, Mapping[str, Mapping[str, float]]]


def measured() -> dict[str, dict[str, dict[str, Figure]]]:
    """Split -> language -> name -> figure, both splits read once."""
    out = {}
    for split in SPLITS:
        found = read_split(split)
        out[split] = {
            language: figures(of_language(found, language)) for language in LANGUAGES
        }
    return out


def write() -> None:
    """Sets every floor a point below what is measured, a ceiling a point above."""
    table = {
        split: {
            language: {name: _bound(figure) for name, figure in each.items()}
            for language, each in languages.items()
        }
        for split, languages in measured().items()
    }
    PATH.write_text(json.dumps(table, indent=1) + "\n", encoding="utf-8")


def load() -> Floors:
    """The committed table."""
    table: Floors = json.loads(PATH.read_text(encoding="utf-8"))
    return table


def broken(table: Floors) -> Iterator[str]:
    """One line a figure that fell through its floor: figures only, never a row."""
    for split, languages in measured().items():
        for language, each in languages.items():
            for name, figure in each.items():
                bound = table[split][language][name]
                if not figure.meets(bound):
                    kind = "at most" if figure.most else "at least"
                    told = f"{figure.percent:.1f}, {kind} {bound}"
                    yield f"{split} {language} {name}: {told}"


def _bound(figure: Figure) -> float:
    percent = figure.percent
    if figure.most:
        return min(100.0, ceil(10 * ((percent or 0.0) + SLACK)) / 10)
    return max(0.0, floor(10 * ((0.0 if percent is None else percent) - SLACK)) / 10)
