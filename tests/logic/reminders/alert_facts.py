"""Small stand-ins for a read reply and an assessment, for the alert rules."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

NOW = datetime(2026, 3, 4, 15, 0, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class SaidReply:
    keyword: str | None = None
    stop_inside: bool = False
    completion: str | None = None
    pain: float | None = None
    overall: str | None = None
    areas: Mapping[Any, str] = field(default_factory=dict)
    pain_by_area: Mapping[Any, float] = field(default_factory=dict)
    sensation: Mapping[Any, str] = field(default_factory=dict)
    side: str | None = None
    shift: str | None = None
    warnings: frozenset[Any] = frozenset()
    needs_human: bool = False
    ask_back: str | None = None


@dataclass(frozen=True, slots=True)
class SeenAssessment:
    urgency: str | None = None
    reasons: tuple[str, ...] = ()
    numbers: Mapping[str, Mapping[str, float]] = field(default_factory=dict)


def warned(*kinds: str, **said: Any) -> SaidReply:
    return SaidReply(warnings=frozenset(kinds), needs_human=True, **said)
