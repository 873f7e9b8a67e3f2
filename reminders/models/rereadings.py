"""A stored text read again: what it was read as before, and since when it is not."""

from __future__ import annotations

from typing import Any

from django.db import models

from clinic.models.base import AppendOnly
from clinic.models.staff import Staff
from reminders.models.messages import Inbound


class Rereading(AppendOnly):
    """One accepted change of a reading; `before` and `after` are stored replies."""

    inbound = models.ForeignKey(
        Inbound, on_delete=models.PROTECT, related_name="rereadings"
    )
    at = models.DateTimeField()
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")
    before: Any = models.JSONField()
    after: Any = models.JSONField()

    class Meta:
        ordering = ["at", "id"]

    def __str__(self) -> str:
        return f"read again {self.at:%Y-%m-%d}"
