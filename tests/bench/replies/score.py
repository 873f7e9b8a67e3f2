"""How one reading differs from its row, field by field."""

from collections.abc import Mapping
from dataclasses import MISSING, fields
from typing import Any

from reminders.logic.reply import Reply
from tests.bench.replies.rows import Row

# `pain_by_area` is compared only where a row names it; evidence has its own tests.
FIELDS = (
    "keyword",
    "stop_inside",
    "completion",
    "pain",
    "overall",
    "areas",
    "sensation",
    "side",
    "shift",
    "warnings",
    "hold_seconds",
    "repetitions",
    "sets",
    "needs_human",
    "ask_back",
)
_DEFAULTS = {
    each.name: each.default if each.default is not MISSING else each.default_factory()  # type: ignore[misc]
    for each in fields(Reply)
}


def wanted(row: Row, field: str) -> Any:
    """What the row says of a field, its default if nothing."""
    value = row.expect.get(field, _DEFAULTS[field])
    return frozenset(value) if field == "warnings" else value


def differences(row: Row, reply: Reply) -> Mapping[str, tuple[Any, Any]]:
    """Field -> (wanted, read) of every field that is not as labeled."""
    names = [*FIELDS, *(["pain_by_area"] if "pain_by_area" in row.expect else [])]
    pairs = {name: (wanted(row, name), getattr(reply, name)) for name in names}
    return {name: (a, b) for name, (a, b) in pairs.items() if _plain(a) != _plain(b)}


def is_set(field: str, value: Any) -> bool:
    """Whether a value says something: it is not the field's default."""
    return bool(_plain(value) != _plain(_DEFAULTS[field]))


def _plain(value: Any) -> Any:
    return dict(value) if isinstance(value, Mapping) else value


def alarmed(reply: Reply) -> bool:
    """Whether it raises an alarm."""
    return bool(reply.warnings)


def asks(reply: Reply) -> bool:
    """Whether it asks back about a sign, or about whom a sign is."""
    return reply.ask_back in ("safety", "who")
