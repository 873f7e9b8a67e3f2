"""How often a client is reminded, as a line for each change."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from clinic.models.base import AppendOnly
from clinic.models.clients import Client
from clinic.models.staff import Staff
from programs.models import HomeProgram
from reminders.logic.load import LEVELS


class ReminderLoad(AppendOnly):
    """A level from `at` on; the newest line of the program rules, none is full.

    `reason`: a code of `logic.load`. `fixed`: a clinician chose it and no rule
    changes it; `by` is empty for the rules.
    """

    client = models.ForeignKey(
        Client, on_delete=models.PROTECT, related_name="reminder_loads"
    )
    program = models.ForeignKey(
        HomeProgram, on_delete=models.PROTECT, related_name="reminder_loads"
    )
    level = models.CharField(max_length=8)
    reason = models.CharField(max_length=16)
    fixed = models.BooleanField(default=False)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "id"]
        indexes = [models.Index(fields=["program", "-at"], name="load_newest")]
        constraints = [
            models.CheckConstraint(
                condition=Q(level__in=LEVELS), name="load_level_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.level}, {self.reason}"
