"""Rows of the two splits: `train` to mend by, `kept` only to measure."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parents[3] / "fixtures" / "replies"
SPLITS = ("train", "kept")
CLASSES = ("plain", "warn", "near", "ask")


@dataclass(frozen=True, slots=True)
class Row:
    """One labeled reply. A field `expect` does not name is at its default.

    `kind` is plain (everyday), warn (alarming), near (looks like a warning and is
    none) or ask (doubtful: one closed question is the right answer).
    """

    id: str
    kind: str
    text: str
    language: str
    asked: str | None
    expect: Mapping[str, Any]
    why: str


def rows(split: str) -> Iterator[Row]:
    """Every row of a split in file order; raises ValueError for no such split."""
    if split not in SPLITS:
        raise ValueError(f"no split {split!r}: have {SPLITS}")
    for path in sorted((FOLDER / split).glob("*.jsonl")):
        for line in path.read_text(encoding="utf-8").splitlines():
            if line.strip():
                yield _row(json.loads(line))


def heard() -> Iterator[Row]:
    """More alarming and harmless texts, told apart and no more, to learn from."""
    for path in sorted((FOLDER / "heard").glob("*.jsonl")):
        for line in filter(str.strip, path.read_text(encoding="utf-8").splitlines()):
            yield _row({"asked": None, "expect": {}, "why": "", **json.loads(line)})


def _row(line: Mapping[str, Any]) -> Row:
    return Row(
        id=line["id"],
        kind=line["class"],
        text=line["text"],
        language=line["language"],
        asked=line.get("asked"),
        expect=line["expect"],
        why=line["why"],
    )
