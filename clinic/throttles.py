"""How often one person, or one address without a sign-in, may call the API."""

from __future__ import annotations

from typing import Any

from rest_framework.throttling import SimpleRateThrottle


class PersonThrottle(SimpleRateThrottle):
    """Every call of a person counts, whatever device it comes from."""

    scope = "person"
    rate = "600/min"

    def get_cache_key(self, request: Any, view: Any) -> str | None:
        person = getattr(request.user, "pk", None)
        return f"throttle:{self.scope}:{person}" if person else None


class WriteThrottle(PersonThrottle):
    """Calls that text somebody, make an account or search by number are rarer."""

    scope = "write"
    rate = "60/min"

    def allow_request(self, request: Any, view: Any) -> bool:
        contract = view.contract(request.method)
        if contract is None or not contract.sparing:
            return True
        return bool(super().allow_request(request, view))


class SourceThrottle(SimpleRateThrottle):
    """Calls without a valid sign-in, counted by where the connection comes from.

    The connection's own address counts, never a header the caller writes.
    """

    scope = "source"
    rate = "60/min"

    def get_cache_key(self, request: Any, view: Any) -> str:
        return f"throttle:{self.scope}:{request.META.get('REMOTE_ADDR', '')}"
