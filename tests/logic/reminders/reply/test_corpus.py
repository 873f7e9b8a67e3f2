"""Every kept reply is read as its line says; each line says why it is there."""

from typing import Any

import pytest

from tests.logic.reminders.reply.corpus import ASKABLE, FOLDER, load, misread, read

FILES = sorted(path.stem for path in FOLDER.glob("*.jsonl"))
CASES = [case for name in FILES for case in load(name)]


@pytest.mark.parametrize("case", CASES, ids=lambda case: str(case["id"]))
def test_a_kept_reply_is_read_as_its_line_says(case: dict[str, Any]) -> None:
    assert misread(case, read(case)) == {}, (case["text"], case["why"])


def test_lines_have_their_own_id_a_reason_and_known_fields() -> None:
    assert len({case["id"] for case in CASES}) == len(CASES)
    for case in CASES:
        assert case["why"] and set(case["expect"]) <= ASKABLE, case["id"]
