"""A Reply as JSON-ready values and back, for keeping beside the message."""

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from reminders.logic.reply.result import Reply


def to_json(reply: Reply) -> dict[str, Any]:
    """Every field in contract order; sets as sorted lists, spans as [start, end]."""
    return {each.name: _plain(getattr(reply, each.name)) for each in fields(Reply)}


def from_json(stored: Mapping[str, Any]) -> Reply:
    """The Reply that `to_json` wrote; a field an older version lacked is default.

    Raises ValueError naming a field this version does not know.
    """
    known = {each.name for each in fields(Reply)}
    unknown = sorted(set(stored) - known)
    if unknown:
        raise ValueError(f"stored reply has unknown fields {unknown}: read it again")
    values = dict(stored)
    if "warnings" in values:
        values["warnings"] = frozenset(values["warnings"])
    if "evidence" in values:
        values["evidence"] = {k: (s, e) for k, (s, e) in values["evidence"].items()}
    return Reply(**values)


def _plain(value: Any) -> Any:
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, Mapping):
        return {key: _plain(each) for key, each in sorted(value.items())}
    return list(value) if isinstance(value, tuple) else value
