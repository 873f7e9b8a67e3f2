"""The one place that knows what time it is; everything inside is handed `now`.

In the demo the clock can be moved forward, never back, so that a day can be seen in
minutes; elsewhere it is the machine's clock.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

from django.conf import settings

_forward: timedelta | None = None


def now() -> datetime:
    """The current moment, aware, in UTC."""
    real = datetime.now(UTC)
    return real + _offset() if settings.DEMO else real


def move_forward(by: timedelta) -> datetime:
    """Move the demo's clock; raises ValueError outside the demo or backwards."""
    global _forward
    if not settings.DEMO:
        raise ValueError("Only the demo's clock can be moved.")
    if by < timedelta(0) or by > timedelta(days=60):
        raise ValueError("The demo's clock moves forward by at most 60 days.")
    _forward = _offset() + by
    _file().write_text(str(_forward.total_seconds()))
    return now()


def _offset() -> timedelta:
    global _forward
    if _forward is None:
        seconds = float(_file().read_text()) if _file().exists() else 0.0
        _forward = timedelta(seconds=seconds)
    return _forward


def _file() -> Path:
    return Path(settings.DATA_DIR) / "clock_offset"
