"""Logs as JSON lines with an allow-list of fields.

Deny by default: a field not listed here is dropped, because a name, number or reply
that once reached a log cannot be called back.
"""

from __future__ import annotations

import logging
import sys
from collections.abc import MutableMapping
from typing import Any

import structlog

ALLOWED = frozenset(
    {
        "event",
        "level",
        "timestamp",
        "logger",
        "request_id",
        "method",
        "route",
        "status",
        "duration_ms",
        "task",
        "count",
        "code",
        "state",
        "kind",
        "gateway",
        "organization",
        "outbound",
        "inbound",
        "alert",
        "check",
        "error",
        "port",
        "url",
        "attempt",
        "seconds",
    }
)
_QUIET = ("django.request", "django.server", "waitress", "celery", "kombu", "urllib3")


def only_allowed(
    _logger: Any, _name: str, event: MutableMapping[str, Any]
) -> MutableMapping[str, Any]:
    """Drop every field that is not on the list; text of exceptions goes too."""
    kept = {key: value for key, value in event.items() if key in ALLOWED}
    if "exc_info" in event:
        kept["error"] = _error_name(event["exc_info"])
    return kept


def without_path(
    _logger: Any, _name: str, event: MutableMapping[str, Any]
) -> MutableMapping[str, Any]:
    """Django ends its own line with the address, which can hold a record's id."""
    record = event.get("_record")
    if record is not None and record.name == "django.request":
        event["event"] = str(event["event"]).partition(":")[0]
    return event


def _error_name(exc_info: Any) -> str:
    if exc_info is True:
        exc_info = sys.exc_info()
    kind = exc_info[0] if isinstance(exc_info, tuple) else type(exc_info)
    return getattr(kind, "__name__", "error")


def configure(options: dict[str, Any]) -> None:
    """Set up logging for the whole process (Django's LOGGING_CONFIG)."""
    shared: list[Any] = [
        structlog.contextvars.merge_contextvars,
        structlog.stdlib.add_log_level,
        structlog.processors.TimeStamper(fmt="iso", utc=True),
    ]
    structlog.configure(
        processors=[*shared, structlog.stdlib.ProcessorFormatter.wrap_for_formatter],
        logger_factory=structlog.stdlib.LoggerFactory(),
        cache_logger_on_first_use=True,
    )
    formatter = structlog.stdlib.ProcessorFormatter(
        foreign_pre_chain=shared,
        processors=[
            without_path,
            structlog.stdlib.ProcessorFormatter.remove_processors_meta,
            only_allowed,
            structlog.processors.JSONRenderer(),
        ],
    )
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(formatter)
    root = logging.getLogger()
    root.handlers[:] = [handler]
    root.setLevel(options.get("level", "INFO"))
    for name in _QUIET:
        logging.getLogger(name).setLevel("WARNING")


def get(name: str) -> Any:
    """A logger whose fields must be on the list."""
    return structlog.get_logger(name)
