"""What the reminders app registers into the lower apps at start-up."""

from __future__ import annotations


def connect() -> None:
    """Called once from `ready()`."""
