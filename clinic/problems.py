"""API errors as problem details (RFC 9457)."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404
from rest_framework import exceptions
from rest_framework.response import Response
from rest_framework.views import set_rollback

from clinic.errors import PlumblineError


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
        headers["Retry-After"] = str(int(error.wait))  # type: ignore[attr-defined]
    return Response(
        problem,
        status=problem["status"],
        headers=headers,
        content_type="application/problem+json",
    )


def _problem(error: Exception) -> dict[str, Any] | None:
    if isinstance(error, PlumblineError):
        extra = {"errors": {error.field: [str(error)]}} if error.field else {}
        return _body(error.status, error.code, str(error)) | extra
    if isinstance(error, Http404):
        return _body(404, "not_found", "There is nothing here for you.")
    if isinstance(error, PermissionDenied):
        return _body(403, "not_allowed", "Your role does not carry this operation.")
    if isinstance(error, exceptions.ValidationError):
        return _body(400, "bad_input", "Some values were refused.") | {
            "errors": error.detail
        }
    if isinstance(error, exceptions.APIException):
        return _body(error.status_code, error.default_code, str(error.detail))
    return None


def _body(status: int, code: str, detail: str) -> dict[str, Any]:
    title = code.replace("_", " ").capitalize()
    return {
        "type": "about:blank",
        "title": title,
        "status": status,
        "code": code,
        "detail": detail,
    }
