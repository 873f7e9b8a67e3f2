"""A client's home program: its revisions with items, and its starting point."""

from __future__ import annotations

from datetime import time
from typing import Any

from django.db import models

from clinic.fields import EncryptedTextField
from clinic.models.base import AppendOnly, Owned
from clinic.models.clients import Client
from clinic.models.staff import Staff
from programs.models.templates import TemplateVersion

ACTIVE, HELD, PAUSED, STOPPED = "active", "held", "paused", "stopped"
STATES = (ACTIVE, HELD, PAUSED, STOPPED)


class HomeProgram(Owned):
    """The program a client is on; at most one that is not stopped.

    `held`: stopped by a warning sign until a clinician decides; `paused`: by a
    clinician, until `paused_until` when given.
    """

    client = models.ForeignKey(
        Client, on_delete=models.PROTECT, related_name="programs"
    )
    template_version = models.ForeignKey(
        TemplateVersion, on_delete=models.PROTECT, null=True, related_name="+"
    )
    state = models.CharField(max_length=8, default=ACTIVE)
    paused_until = models.DateField(null=True, blank=True)
    started_at = models.DateTimeField()
    stopped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["client"],
                condition=~models.Q(state=STOPPED),
                name="one_running_program",
            ),
            models.CheckConstraint(
                condition=models.Q(state__in=STATES), name="program_state_known"
            ),
        ]

    def __str__(self) -> str:
        return f"program {str(self.id)[-6:]}"


class StartingPoint(AppendOnly):
    """Where the client stood when the program was prescribed: the baseline.

    `reach_left`/`reach_right`: distal-most area with pain, empty for none.
    `lateral_shift`: named by where the shoulders sit.
    `precautions`: the ones that were asked, each answered yes or no.
    """

    program = models.OneToOneField(
        HomeProgram, on_delete=models.PROTECT, related_name="starting_point"
    )
    pain = models.DecimalField(max_digits=3, decimal_places=1)
    reach_left = models.CharField(max_length=12, blank=True)
    reach_right = models.CharField(max_length=12, blank=True)
    sensation = models.CharField(max_length=12, blank=True)
    directional_preference = models.CharField(max_length=12)
    lateral_shift = models.CharField(max_length=8, blank=True)
    precautions: Any = models.JSONField(default=dict)
    recorded_at = models.DateTimeField()
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return "starting point"


class ProgramRevision(AppendOnly):
    """A whole state of the program: written once, with author and reason."""

    program = models.ForeignKey(
        HomeProgram, on_delete=models.PROTECT, related_name="revisions"
    )
    number = models.PositiveIntegerField()
    author = models.ForeignKey(
        Staff, on_delete=models.PROTECT, null=True, related_name="+"
    )
    reason = EncryptedTextField()
    at = models.DateTimeField()
    times_per_day = models.PositiveSmallIntegerField(default=5)
    waking_from = models.TimeField(default=time(8, 0))
    waking_to = models.TimeField(default=time(21, 0))
    stop_rules: Any = models.JSONField(default=list)
    review_on = models.DateField()

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(
                fields=["program", "number"], name="revision_number_once"
            )
        ]

    def __str__(self) -> str:
        return f"revision {self.number}"


class ProgramItem(AppendOnly):
    """One exercise of a revision with its dose; unused dose fields are empty.

    `hold_low`/`hold_high`: the range the clinician pre-approved for the hold.
    """

    revision = models.ForeignKey(
        ProgramRevision, on_delete=models.PROTECT, related_name="items"
    )
    position = models.PositiveSmallIntegerField()
    exercise = models.CharField(max_length=32)
    hold_seconds = models.PositiveSmallIntegerField(null=True)
    repetitions = models.PositiveSmallIntegerField(null=True)
    sets = models.PositiveSmallIntegerField(null=True)
    duration_minutes = models.PositiveSmallIntegerField(null=True)
    times_per_day = models.PositiveSmallIntegerField(null=True)
    hold_low = models.PositiveSmallIntegerField(null=True)
    hold_high = models.PositiveSmallIntegerField(null=True)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(
                fields=["revision", "position"], name="item_position_once"
            )
        ]

    def __str__(self) -> str:
        return self.exercise
