"""Holds that may rise without asking: who approved it, and each step that happened."""

from __future__ import annotations

from django.db import models

from clinic.models.base import AppendOnly, Owned
from clinic.models.staff import Staff
from programs.models.programs import HomeProgram, ProgramRevision


class HoldApproval(AppendOnly):
    """A clinician switches the rising of one exercise's hold on or off; newest rules.

    `low` to `high`, in seconds, is the range as it stood in the program then: for
    another range the approval does not hold.
    """

    program = models.ForeignKey(
        HomeProgram, on_delete=models.PROTECT, related_name="hold_approvals"
    )
    exercise = models.CharField(max_length=32)
    low = models.PositiveSmallIntegerField()
    high = models.PositiveSmallIntegerField()
    on = models.BooleanField()
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "id"]
        indexes = [
            models.Index(fields=["program", "exercise", "-at"], name="approval_newest")
        ]

    def __str__(self) -> str:
        return f"{self.exercise} {'on' if self.on else 'off'}"


class HoldStep(Owned):
    """One hold that rose by itself, and whether it was taken back.

    `revision` is the whole program it made. `undone_by` empty with a time: the
    service took it back because the client got worse.
    """

    program = models.ForeignKey(
        HomeProgram, on_delete=models.PROTECT, related_name="hold_steps"
    )
    approval = models.ForeignKey(
        HoldApproval, on_delete=models.PROTECT, related_name="steps"
    )
    revision = models.OneToOneField(
        ProgramRevision, on_delete=models.PROTECT, related_name="hold_step"
    )
    exercise = models.CharField(max_length=32)
    before = models.PositiveSmallIntegerField()
    after = models.PositiveSmallIntegerField()
    at = models.DateTimeField()
    undone_at = models.DateTimeField(null=True, blank=True)
    undone_by = models.ForeignKey(
        Staff, on_delete=models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering = ["at", "id"]
        indexes = [models.Index(fields=["program", "-at"], name="hold_step_latest")]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(after__gt=models.F("before"), after__lte=60),
                name="hold_step_rises",
            )
        ]

    def __str__(self) -> str:
        return f"{self.exercise} {self.before} to {self.after} s"
