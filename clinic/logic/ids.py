"""Identifiers: UUID version 7 (RFC 9562), ordered by the time they were made."""

from __future__ import annotations

from uuid import UUID

from uuid_utils.compat import uuid7


def new_id() -> UUID:
    """A fresh identifier; later ones sort after earlier ones."""
    return uuid7()
