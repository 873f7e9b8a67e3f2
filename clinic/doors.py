"""What every page door does before its own work: sign-in, operation, clear errors."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from clinic import access
from clinic.errors import PlumblineError
from clinic.logic import roles

View = Callable[..., HttpResponse]


def page(operation: str) -> Callable[[View], View]:
    """Mark a page with the operation it needs; without it the answer is 403 or 404."""
    roles.roles_for(operation)  # an unknown operation fails at import

    def wrap(view: View) -> View:
        @login_required
        @wraps(view)
        def door(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            try:
                access.require(request.user, operation)
                return view(request, *args, **kwargs)
            except PlumblineError as error:
                return refusal(request, error)

        door.operation = operation  # type: ignore[attr-defined]
        return door

    return wrap


def public(reason: str) -> Callable[[View], View]:
    """Mark a view that needs no sign-in, and say why."""

    def wrap(view: View) -> View:
        view.public = reason  # type: ignore[attr-defined]
        return view

    return wrap


def refusal(request: HttpRequest, error: PlumblineError) -> HttpResponse:
    """The page for an error raised on purpose; nothing of the input is repeated."""
    context = {"message": str(error), "status": error.status}
    return render(request, "clinic/refusal.html", context, status=error.status)
