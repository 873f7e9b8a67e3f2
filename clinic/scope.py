"""Which organization the running code works for; no query exists without one.

The scope is a context variable: doors open it for the signed-in person, workers open
it for each row. A query outside any scope raises, because a forgotten filter is how
one clinic comes to read another's records.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any, TypeVar
from uuid import UUID

from django.db import models

from clinic.errors import Unscoped

_organization: ContextVar[UUID | None] = ContextVar("organization", default=None)
M = TypeVar("M", bound=models.Model)


@contextmanager
def within(organization_id: UUID) -> Iterator[None]:
    """Run the block for one organization; nests, and ends with the block."""
    token = _organization.set(organization_id)
    try:
        yield
    finally:
        _organization.reset(token)


def enter(organization_id: UUID | None) -> Any:
    """Open a scope by hand; give what is returned to `leave` (for middleware).

    None closes any scope until then. `leave` also undoes every `enter` made since,
    so the outermost one is the wall between two requests on one thread.
    """
    return _organization.set(organization_id)


def leave(token: Any) -> None:
    """Close what `enter` opened."""
    _organization.reset(token)


def current() -> UUID:
    """The organization in scope; raises Unscoped when there is none."""
    organization_id = _organization.get()
    if organization_id is None:
        raise Unscoped
    return organization_id


def active() -> UUID | None:
    """The organization in scope, or None."""
    return _organization.get()


class ScopedManager(models.Manager[M]):
    """Default manager of clinic data: only rows of the organization in scope."""

    def get_queryset(self) -> models.QuerySet[M]:
        return super().get_queryset().filter(organization_id=current())

    def across(self, reason: str) -> models.QuerySet[M]:
        """Rows of every organization; `reason` says why, for the reader and grep."""
        if not reason:
            raise Unscoped("Say why this query crosses organizations.")
        return super().get_queryset()
