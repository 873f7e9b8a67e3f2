"""API errors as problem details (RFC 9457)."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import (
    PermissionDenied,
    RequestDataTooBig,
    SuspiciousOperation,
)
from django.db import IntegrityError
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.views import defaults
from rest_framework import exceptions
from rest_framework.response import Response
from rest_framework.views import set_rollback

from clinic.errors import NotAllowed, NotYours, PlumblineError

PROBLEM_TYPE = "application/problem+json"
ABSENT = "There is nothing here for you under this address."
NOT_ALLOWED = "Your role does not carry this operation."
OVERTAKEN = "Somebody wrote the same at the same time: look again."
LONGEST, MOST = 200, 20


def problem_response(error: Exception, context: dict[str, Any]) -> Response | None:
    """Every refusal as application/problem+json; an unknown error stays a 500."""
    problem = _problem(error)
    if problem is None:
        return None
    set_rollback()
    headers = {}
    if getattr(error, "auth_header", None):
        headers["WWW-Authenticate"] = error.auth_header  # type: ignore[attr-defined]
    if getattr(error, "wait", None):
        wait = int(error.wait) + 1  # type: ignore[attr-defined]
        headers["Retry-After"] = str(wait)
    return Response(
        problem,
        status=problem["status"],
        headers=headers,
        content_type=PROBLEM_TYPE,
    )


def server_error(request: HttpRequest) -> HttpResponse:
    """The answer to a fault of ours: a problem to programs, a page to people."""
    if not request.path.startswith("/api/"):
        return defaults.server_error(request)
    problem = _body(500, "error", "The service failed; the fault is logged. Try again.")
    return JsonResponse(problem, status=500, content_type=PROBLEM_TYPE)


def _problem(error: Exception) -> dict[str, Any] | None:
    if isinstance(error, NotYours | Http404 | exceptions.NotFound):
        # One answer whatever was missing: absent and foreign must look the same.
        return _body(404, "not_found", ABSENT)
    if isinstance(error, NotAllowed | PermissionDenied):
        return _body(403, "not_allowed", NOT_ALLOWED)
    if isinstance(error, PlumblineError):
        extra = {"errors": {error.field: [str(error)]}} if error.field else {}
        return _body(error.status, error.code, str(error)) | extra
    if isinstance(error, RequestDataTooBig):
        return _body(413, "too_large", "The body is over 1 MB: send less at once.")
    if isinstance(error, SuspiciousOperation):
        return _body(400, "bad_input", "The request is none this API answers.")
    if isinstance(error, IntegrityError):
        return _body(409, "conflict", OVERTAKEN)
    if isinstance(error, exceptions.ValidationError):
        return _body(400, "bad_input", "Some values were refused.") | {
            "errors": _capped(error.detail)
        }
    if isinstance(error, exceptions.APIException):
        return _body(error.status_code, _code(error), str(error.detail))
    return None


def _code(error: exceptions.APIException) -> str:
    if isinstance(error, exceptions.PermissionDenied):
        return "not_allowed"
    return str(error.default_code)


def _body(status: int, code: str, detail: str) -> dict[str, Any]:
    title = code.replace("_", " ").capitalize()
    return {
        "type": "about:blank",
        "title": title,
        "status": status,
        "code": code,
        "detail": detail[:LONGEST],
    }


def _capped(detail: Any) -> Any:
    """The errors by field, each cut: an answer does not carry bad input back."""
    if isinstance(detail, dict):
        return {str(key)[:40]: _capped(detail[key]) for key in list(detail)[:MOST]}
    if isinstance(detail, list):
        return [_capped(one) for one in detail[:MOST]]
    return str(detail)[:LONGEST]
