"""Health of the service: probes that upper apps register, answered together."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

PROBES: dict[str, Callable[[], tuple[bool, Any]]] = {}


def report() -> dict[str, Any]:
    """{"ok": bool, probe: value}; a probe that raises counts as not ok."""
    answers = {name: probe() for name, probe in PROBES.items()}
    values = {name: value for name, (_, value) in answers.items()}
    return {"ok": all(good for good, _ in answers.values()), **values}
