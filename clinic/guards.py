"""What a serving process makes sure of before it serves."""

from __future__ import annotations

import fcntl
from pathlib import Path
from typing import TextIO

from django.core.management.base import CommandError
from django.db import connection
from django.db.migrations.executor import MigrationExecutor


def single_instance(folder: Path) -> TextIO:
    """Hold the data folder's lock; two processes would both send from one file."""
    file = (folder / "serve.lock").open("w")
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        raise CommandError(
            "Another serve runs on this data folder: stop it first, or give this one"
            " another DATA_DIR."
        ) from error
    return file


def refuse_old_schema() -> None:
    """Stop with the one command to run when the database is behind the code."""
    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        raise CommandError("The database is not up to date: run manage.py migrate.")
