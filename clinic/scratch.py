"""A database of one command's own: in memory, migrated, gone when the block ends.

The configured database is not opened meanwhile, whichever it is.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.db import DEFAULT_DB_ALIAS, connections
from django.db.backends.sqlite3.base import DatabaseWrapper

_OPTIONS = {
    "transaction_mode": "IMMEDIATE",
    "init_command": "PRAGMA foreign_keys=ON; PRAGMA temp_store=MEMORY;",
}


class Scratch:
    """The open database: its state can be marked, gone back to, or kept in a file."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection
        self._mark = sqlite3.connect(":memory:")

    def mark(self) -> None:
        """Remember the state of now."""
        self._connection.backup(self._mark)

    def back(self) -> None:
        """Go back to the marked state; everything since is gone."""
        self._mark.backup(self._connection)

    def keep(self, path: Path) -> None:
        """Write the state of now to a new SQLite file."""
        with sqlite3.connect(path) as file:
            self._connection.backup(file)
        file.close()

    def close(self) -> None:
        """Let go of both copies."""
        self._mark.close()
        self._connection.close()


@contextmanager
def database() -> Iterator[Scratch]:
    """Work on an empty, migrated database of one's own inside the block."""
    configured = connections[DEFAULT_DB_ALIAS]
    own = _in_memory(configured.settings_dict)
    connections[DEFAULT_DB_ALIAS] = own
    own.ensure_connection()
    scratch = Scratch(own.connection)
    try:
        _migrated(own).backup(own.connection)
        yield scratch
    finally:
        connections[DEFAULT_DB_ALIAS] = configured
        scratch.close()


def _in_memory(settings: dict[str, Any]) -> DatabaseWrapper:
    named = {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": ":memory:",
        "OPTIONS": dict(_OPTIONS),
        "CONN_MAX_AGE": None,
    }
    return DatabaseWrapper({**settings, **named}, DEFAULT_DB_ALIAS)


_schema: list[sqlite3.Connection] = []


def _migrated(own: DatabaseWrapper) -> sqlite3.Connection:
    """An empty migrated database, made once a process: migrating takes a second."""
    if not _schema:
        call_command("migrate", verbosity=0, interactive=False)
        copy = sqlite3.connect(":memory:")
        own.connection.backup(copy)
        _schema.append(copy)
    return _schema[0]
