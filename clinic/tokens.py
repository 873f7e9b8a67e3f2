"""API sign-in by bearer token, and the permission class every API view shares."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.permissions import BasePermission

from clinic import access, clock, pairing, scope
from clinic.models import DeviceToken


class BearerAuthentication(BaseAuthentication):
    """`Authorization: Bearer <token>`; never from the address line."""

    def authenticate(self, request: Any) -> tuple[Any, Any] | None:
        kind, _, token = (
            get_authorization_header(request).decode("latin-1").partition(" ")
        )
        if kind.lower() != "bearer":
            return None
        row = (
            DeviceToken.objects.across("the token names its organization")
            .select_related("staff")
            .filter(digest=pairing.digest_of(token.strip()))
            .first()
        )
        now = clock.now()
        if row is None or row.revoked_at or row.expires_at <= now:
            raise AuthenticationFailed("This token is not valid: issue a new one.")
        if not row.staff.is_active:
            raise AuthenticationFailed("This account is closed.")
        pairing.mark_used(row, now=now)
        scope.enter(row.organization_id)  # the scope middleware leaves it again
        return row.staff, row

    def authenticate_header(self, request: HttpRequest) -> str:
        return "Bearer"


class OperationPermission(BasePermission):
    """A view names an operation (or one a method); the role table decides.

    A view without one is refused, so forgetting it opens nothing.
    """

    def has_permission(self, request: Any, view: Any) -> bool:
        if not request.user or not request.user.is_authenticated:
            return False
        operation = operation_of(view, request.method)
        return operation is not None and access.may(request.user, operation)


def operation_of(view: Any, method: str) -> str | None:
    """The operation a view names for the method; HEAD and OPTIONS count as GET."""
    named = getattr(view, "operation", None)
    if isinstance(named, dict):
        return named.get("GET" if method in ("HEAD", "OPTIONS") else method)
    return named
