"""Report series from fixtures, as values; hours count from one fixed morning."""

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from programs.logic.reports import SymptomReport

FIXTURES = Path(__file__).parents[3] / "fixtures"
START = datetime(2026, 3, 2, 14, tzinfo=UTC)
ZONE = ZoneInfo("America/New_York")


def load(name: str) -> list[dict[str, Any]]:
    """Return the cases of one fixture file."""
    cases: list[dict[str, Any]] = json.loads((FIXTURES / name).read_text("utf-8"))
    return cases


def at(hours: float) -> datetime:
    """Return a moment so many hours after the start."""
    return START + timedelta(hours=hours)


def report(hours: float, **said: Any) -> SymptomReport:
    """Return a report so many hours after the start."""
    return SymptomReport(at(hours), **said)


def series(entries: list[dict[str, Any]]) -> list[SymptomReport]:
    """Return the reports of a case; an entry with `every` and `count` repeats."""
    found = []
    for entry in entries:
        said = dict(entry)
        first, every = said.pop("hours"), said.pop("every", 0)
        count = said.pop("count", 1)
        found += [report(first + every * place, **said) for place in range(count)]
    return found
