"""Per request: one log line without personal data, and the organization's scope."""

from __future__ import annotations

import time
from collections.abc import Callable

import structlog
from django.http import HttpRequest, HttpResponse

from clinic import logs, scope
from clinic.logic.ids import new_id

log = logs.get("clinic.request")
Handler = Callable[[HttpRequest], HttpResponse]


class RequestLogMiddleware:
    """Logs the route pattern, never the path: an address can hold a record's id."""

    def __init__(self, handler: Handler) -> None:
        self.handler = handler

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request_id = new_id().hex
        started = time.perf_counter()
        with structlog.contextvars.bound_contextvars(request_id=request_id):
            response = self.handler(request)
            route = getattr(request.resolver_match, "route", "unmatched")
            log.info(
                "request",
                method=request.method,
                route=route,
                status=response.status_code,
                duration_ms=round((time.perf_counter() - started) * 1000, 1),
            )
        response["X-Request-ID"] = request_id
        response["Permissions-Policy"] = "camera=(), geolocation=(), microphone=()"
        if not request.path.startswith("/static/"):
            response.setdefault("Cache-Control", "no-store")
        return response


class ScopeMiddleware:
    """Opens the signed-in person's organization for this request and no other.

    The scope is also left when a bearer token entered it further in: a thread serves
    the next request, and that one may be of another organization.
    """

    def __init__(self, handler: Handler) -> None:
        self.handler = handler

    def __call__(self, request: HttpRequest) -> HttpResponse:
        user = request.user
        token = scope.enter(user.organization_id if user.is_authenticated else None)
        try:
            return self.handler(request)
        finally:
            scope.leave(token)
