"""Replies kept as data: loading them and comparing what was asked of each."""

import json
from dataclasses import fields
from pathlib import Path
from typing import Any

from reminders.logic.reply import Reply, parse_reply
from reminders.logic.reply.storage import to_json
from reminders.logic.reply.wrong_number import is_wrong_number

FOLDER = Path(__file__).parents[4] / "fixtures" / "replies"
ASKABLE = {field.name for field in fields(Reply)} | {"wrong_number"}


def load(name: str) -> list[dict[str, Any]]:
    lines = (FOLDER / f"{name}.jsonl").read_text(encoding="utf-8").splitlines()
    return [json.loads(line) for line in lines if line.strip()]


def read(case: dict[str, Any], text: str | None = None) -> dict[str, Any]:
    said = case["text"] if text is None else text
    language = case.get("language", "en")
    reply = parse_reply(said, language=language, asked=case.get("asked"))
    return {**to_json(reply), "wrong_number": is_wrong_number(said)}


def misread(case: dict[str, Any], got: dict[str, Any]) -> dict[str, tuple[Any, Any]]:
    """Field to (expected, got) for each field the case asserts and got wrong."""
    return {
        field: (expected, got[field])
        for field, expected in case["expect"].items()
        if got[field] != expected
    }
