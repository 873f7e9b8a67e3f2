"""The two measuring splits: rows of the right shape, and floors under the figures."""

import json
from collections import Counter
from collections.abc import Iterator

import pytest

from reminders.logic.reply.result import AREAS, STATES, WARNINGS
from tests.bench.replies import floors
from tests.bench.replies.figures import LANGUAGES
from tests.bench.replies.rows import CLASSES, FOLDER, SPLITS, Row, rows
from tests.bench.replies.score import FIELDS

ASKED = ["session", "pain", "reach", "done", "safety", "who", "opt_out", "nothing"]
ONE_OF = {
    "keyword": {"stop", "start", "help"},
    "completion": {"done", "partly", "skipped"},
    "overall": {"better", "same", "worse"},
    "side": {"left", "right", "both"},
    "shift": {"toward_back", "down_leg"},
    "ask_back": {"safety", "reach", "pain", "who", "opt_out"},
}
BY_AREA = {"areas": set(STATES), "sensation": {"numb", "tingling", "weak"}}
KEYS = {"id", "class", "text", "language", "asked", "expect", "why"}
ROWS = [(split, row) for split in SPLITS for row in rows(split)]
OWN_REPLIES = {"en": 1_000, "es": 250, "fr": 250}
SIGNS_KEPT = 100


def faults(row: Row) -> Iterator[str]:
    """What is wrong with the form of one row."""
    expect = row.expect
    if row.kind not in CLASSES or row.language not in LANGUAGES or not row.why:
        yield "class, language or reason"
    if row.asked is not None and row.asked not in ASKED:
        yield "asked"
    if set(expect) - {*FIELDS, "pain_by_area"}:
        yield "unknown field"
    yield from (k for k, some in ONE_OF.items() if expect.get(k, min(some)) not in some)
    for field, values in BY_AREA.items():
        named = expect.get(field, {})
        if set(named) - set(AREAS) or set(named.values()) - values:
            yield field
    if set(expect.get("pain_by_area", {})) - set(AREAS):
        yield "pain_by_area"
    yield from contradictions(row)


def contradictions(row: Row) -> Iterator[str]:
    """What the labeling rules exclude."""
    expect = row.expect
    warnings, back = set(expect.get("warnings", ())), expect.get("ask_back")
    if warnings - set(WARNINGS) or (row.kind == "warn") != bool(warnings):
        yield "warnings"
    person = warnings or expect.get("stop_inside") or back not in (None, "reach")
    if person and not expect.get("needs_human"):
        yield "needs_human"
    if row.kind == "ask" and back != "safety":
        yield "an ask row asks about safety"
    if expect.get("keyword") and len(expect) > 1:
        yield "a keyword stands alone"


@pytest.mark.parametrize("split", SPLITS)
def test_every_row_is_well_formed(split: str) -> None:
    found = {row.id: list(faults(row)) for where, row in ROWS if where == split}
    assert found
    assert {name: wrong for name, wrong in found.items() if wrong} == {}


def test_no_row_has_a_key_nobody_reads() -> None:
    for path in (p for split in SPLITS for p in (FOLDER / split).glob("*.jsonl")):
        for line in filter(str.strip, path.read_text(encoding="utf-8").splitlines()):
            assert set(json.loads(line)) <= KEYS, path.name


def test_no_id_and_no_text_is_there_twice() -> None:
    ids = Counter(row.id for _, row in ROWS)
    texts = Counter(" ".join(row.text.casefold().split()) for _, row in ROWS)
    assert [name for name, times in ids.items() if times > 1] == []
    # A number, not the texts: some of them are of the kept split.
    assert sum(times - 1 for times in texts.values()) == 0


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_kept_split_has_enough_signs_and_near_signs(language: str) -> None:
    kinds = Counter(
        row.kind for split, row in ROWS if (split, row.language) == ("kept", language)
    )
    assert kinds["warn"] >= SIGNS_KEPT and kinds["near"] >= SIGNS_KEPT, kinds


@pytest.mark.parametrize("language", LANGUAGES)
def test_there_are_enough_replies_of_our_own(language: str) -> None:
    cases = [
        json.loads(line)
        for path in FOLDER.glob("*.jsonl")
        for line in path.read_text(encoding="utf-8").splitlines()
        if line.strip()
    ]
    texts = {c["text"] for c in cases if c.get("language", "en") == language}
    texts |= {row.text for _, row in ROWS if row.language == language}
    assert len(texts) >= OWN_REPLIES[language]


def test_no_figure_falls_through_its_floor() -> None:
    assert list(floors.broken(floors.load())) == []
