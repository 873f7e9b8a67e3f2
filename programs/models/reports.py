"""What clients report, what the service makes of it, what clinicians decide."""

from __future__ import annotations

from typing import Any

from django.db import models

from clinic.fields import EncryptedTextField
from clinic.models.base import AppendOnly, Owned
from clinic.models.clients import Client
from clinic.models.staff import Staff
from programs.models.programs import HomeProgram, ProgramRevision

TEXT, IN_PERSON = "text", "in_person"
DECISIONS = ("progress", "hold", "reduce", "pause", "call", "refer", "discharge")


class SessionReport(Owned):
    """A session and its symptoms as reported once; corrected only by voiding.

    Fields as the value `programs.logic.reports.SymptomReport`; `key` makes the same
    report arrive once (the inbound's id, or one made by the device).
    """

    client = models.ForeignKey(Client, on_delete=models.PROTECT, related_name="reports")
    program = models.ForeignKey(
        HomeProgram, on_delete=models.PROTECT, null=True, related_name="reports"
    )
    key = models.CharField(max_length=64)
    source = models.CharField(max_length=10, default=TEXT)
    at = models.DateTimeField()
    completion = models.CharField(max_length=8, blank=True)
    pain = models.FloatField(null=True)
    overall = models.CharField(max_length=8, blank=True)
    areas: Any = models.JSONField(default=dict)
    side = models.CharField(max_length=5, blank=True)
    shift = models.CharField(max_length=12, blank=True)
    pain_by_area: Any = models.JSONField(default=dict)
    sensation: Any = models.JSONField(default=dict)
    voided_at = models.DateTimeField(null=True, blank=True)
    void_reason = EncryptedTextField(blank=True, default="")

    class Meta:
        ordering = ["at", "id"]
        indexes = [models.Index(fields=["client", "at"], name="report_by_client")]
        constraints = [
            # The key first: led by the organization, SQLite would take this index
            # for the reports of many clients and read the whole clinic.
            models.UniqueConstraint(
                fields=["key", "organization"], name="report_key_once"
            )
        ]

    def __str__(self) -> str:
        return f"report {str(self.id)[-6:]}"


class AssessmentRecord(AppendOnly):
    """The assessment made after a report, kept as it was shown."""

    client = models.ForeignKey(
        Client, on_delete=models.PROTECT, related_name="assessments"
    )
    at = models.DateTimeField()
    location_trend = models.CharField(max_length=16)
    pain_trend = models.CharField(max_length=16)
    urgency = models.CharField(max_length=10, blank=True)
    reasons: Any = models.JSONField(default=list)
    numbers: Any = models.JSONField(default=dict)
    ready_to_progress = models.BooleanField(default=False)
    suggestion: Any = models.JSONField(null=True)

    class Meta:
        ordering = ["at", "id"]
        indexes = [models.Index(fields=["client", "-at"], name="assessment_latest")]

    def __str__(self) -> str:
        return f"{self.location_trend}/{self.pain_trend}"


class Decision(AppendOnly):
    """What the clinician decided, with a note, and the revision it made if any."""

    client = models.ForeignKey(
        Client, on_delete=models.PROTECT, related_name="decisions"
    )
    kind = models.CharField(max_length=10)
    note = EncryptedTextField(blank=True, default="")
    author = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    revision = models.ForeignKey(
        ProgramRevision, on_delete=models.PROTECT, null=True, related_name="+"
    )
    alert_id = models.UUIDField(null=True)

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(kind__in=DECISIONS), name="decision_kind_known"
            )
        ]

    def __str__(self) -> str:
        return self.kind
