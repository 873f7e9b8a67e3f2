"""How often a page without a sign-in may be opened.

An unknown token counts against where the connection comes from, and never against a
client behind the same address; a known one counts against itself.
"""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from clinic.throttles import SourceThrottle
from programs.models import OutcomeAsk


class MissThrottle(SourceThrottle):
    """Tokens that open nothing, by source address."""

    scope = "miss"
    rate = "20/min"


class AskThrottle(SourceThrottle):
    """Openings and sendings of one page."""

    scope = "ask"
    rate = "40/hour"

    def __init__(self, ask: OutcomeAsk) -> None:
        self.ask = ask
        super().__init__()

    def get_cache_key(self, request: Any, view: Any) -> str:
        return f"throttle:{self.scope}:{self.ask.id}"


def may_open(request: HttpRequest, ask: OutcomeAsk | None) -> bool:
    """Count this call; False when there were too many."""
    throttle = AskThrottle(ask) if ask else MissThrottle()
    return bool(throttle.allow_request(request, None))
