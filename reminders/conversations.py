"""Conversations to replay: one JSON line each, checked before anything happens."""

from __future__ import annotations

import json
import zoneinfo
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

LANGUAGES = ("en", "es", "fr")
ASKED = (
    "session",
    "pain",
    "reach",
    "done",
    "safety",
    "who",
    "opt_out",
    "nothing",
)
_EARLIEST, _LATEST = datetime(1990, 1, 1, tzinfo=UTC), datetime(2100, 1, 1, tzinfo=UTC)
_LONGEST = timedelta(days=400)


class BadLine(ValueError):
    """A line that is no conversation: `line` counts from 1, `message` says why."""

    def __init__(self, line: int, message: str) -> None:
        super().__init__(f"line {line}: {message}")
        self.line = line
        self.message = message


@dataclass(frozen=True, slots=True)
class Turn:
    """At a moment (UTC) the client sends `text`; None: only time passes.

    `asked` is the question it answers, None: the one that is open.
    """

    at: datetime
    text: str | None
    asked: str | None = None


@dataclass(frozen=True, slots=True)
class Conversation:
    """One invented client's texts in order of time."""

    id: str
    language: str
    time_zone: str
    turns: tuple[Turn, ...]


def read(lines: Iterable[str]) -> Iterator[Conversation]:
    """Each line's conversation as it comes; raises BadLine at the first bad one."""
    known: dict[str, int] = {}
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        try:
            found = _conversation(_object(line))
        except _Wrong as wrong:
            raise BadLine(number, str(wrong)) from wrong
        if found.id in known:
            raise BadLine(number, f"the id stands on line {known[found.id]} already")
        known[found.id] = number
        yield found


class _Wrong(Exception):
    """What is wrong with the line being read."""


def _object(line: str) -> dict[str, Any]:
    try:
        found = json.loads(line)
    except (ValueError, RecursionError) as error:
        raise _Wrong("this is not JSON: write one object a line") from error
    if not isinstance(found, dict):
        raise _Wrong("write an object with id, language, time_zone and turns")
    return found


def _conversation(entry: dict[str, Any]) -> Conversation:
    name, zone = _id(entry.get("id")), _zone(entry.get("time_zone"))
    if entry.get("language") not in LANGUAGES:
        raise _Wrong(f'"language" must be one of {", ".join(LANGUAGES)}')
    turns = entry.get("turns")
    if not isinstance(turns, list) or not turns:
        raise _Wrong('"turns" must be a list with at least one turn')
    found = tuple(_turn(turn, place, zone) for place, turn in enumerate(turns))
    _check_order(found)
    return Conversation(name, entry["language"], zone.key, found)


def _id(value: Any) -> str:
    if not isinstance(value, str) or not value or _is_broken(value):
        raise _Wrong('"id" must be a text that is not empty')
    return value


def _zone(name: Any) -> ZoneInfo:
    try:
        if not isinstance(name, str):
            raise ValueError(name)
        return ZoneInfo(name)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise _Wrong(
            '"time_zone" must be a known name such as "America/New_York"'
        ) from error


def _turn(turn: Any, place: int, zone: ZoneInfo) -> Turn:
    if not isinstance(turn, dict) or not {"at", "text"} <= set(turn):
        raise _Wrong(f'turn {place} must be an object with "at" and "text"')
    text, asked = turn["text"], turn.get("asked")
    if text is not None and not isinstance(text, str):
        raise _Wrong(f'turn {place}: "text" must be a text, or null to let time pass')
    if asked is not None and asked not in ASKED:
        raise _Wrong(f'turn {place}: "asked" must be one of {", ".join(ASKED)}')
    return Turn(_moment(turn["at"], place, zone), text, asked)


def _moment(value: Any, place: int, zone: ZoneInfo) -> datetime:
    """A time without an offset is one on the client's own clock."""
    try:
        at = datetime.fromisoformat(value)
        at = (at if at.tzinfo else at.replace(tzinfo=zone)).astimezone(UTC)
    except (TypeError, ValueError, OverflowError) as error:
        raise _Wrong(
            f'turn {place}: "at" must be a time such as "2026-03-02T09:15:00-05:00"'
        ) from error
    if not _EARLIEST <= at < _LATEST:
        raise _Wrong(f'turn {place}: "at" must lie between 1990 and 2100')
    return at


def _check_order(turns: tuple[Turn, ...]) -> None:
    for place in range(1, len(turns)):
        if turns[place].at < turns[place - 1].at:
            raise _Wrong(f"turn {place} is earlier than the one before it")
    if turns[-1].at - turns[0].at > _LONGEST:
        raise _Wrong(f"the turns span more than {_LONGEST.days} days")


def _is_broken(text: str) -> bool:
    """Half a character, which no output can carry."""
    return any("\ud800" <= sign <= "\udfff" for sign in text)
