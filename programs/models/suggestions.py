"""What the decision table suggested, and what the clinician answered."""

from __future__ import annotations

from typing import Any

from django.db import models

from clinic.fields import EncryptedTextField
from clinic.models.base import Owned
from clinic.models.clients import Client
from clinic.models.staff import Staff
from programs.models.programs import HomeProgram, ProgramRevision
from programs.models.reports import Decision

OPEN, LAPSED = "open", "lapsed"
ACCEPTED, EDITED, DECLINED = "accepted", "edited", "declined"
ANSWERS = (ACCEPTED, EDITED, DECLINED)
STATES = (OPEN, *ANSWERS, LAPSED)


class KeptSuggestion(Owned):
    """One suggestion from its first report to its answer; one open a client.

    Fields as the value `programs.logic.suggestion.Suggestion`. `last_at`: the last
    report that still gave it. accepted: carried out as suggested; edited: the
    clinician changed the program another way; declined: with a reason; lapsed:
    later reports gave another one or none.
    """

    client = models.ForeignKey(
        Client, on_delete=models.PROTECT, related_name="suggestions"
    )
    program = models.ForeignKey(
        HomeProgram, on_delete=models.PROTECT, related_name="suggestions"
    )
    row = models.CharField(max_length=4)
    action = models.CharField(max_length=20)
    exercise = models.CharField(max_length=32, blank=True)
    target = models.CharField(max_length=32, blank=True)
    dose: Any = models.JSONField(null=True)
    sentence = EncryptedTextField()
    would_change = EncryptedTextField()
    source = models.CharField(max_length=160)
    first_at = models.DateTimeField()
    last_at = models.DateTimeField()
    state = models.CharField(max_length=8, default=OPEN)
    answered_by = models.ForeignKey(
        Staff, on_delete=models.PROTECT, null=True, related_name="+"
    )
    answered_at = models.DateTimeField(null=True, blank=True)
    reason = EncryptedTextField(blank=True, default="")
    revision = models.ForeignKey(
        ProgramRevision, on_delete=models.PROTECT, null=True, related_name="+"
    )
    decision = models.ForeignKey(
        Decision, on_delete=models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering = ["first_at", "id"]
        indexes = [
            models.Index(fields=["client", "-first_at"], name="suggestion_latest")
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["client"],
                condition=models.Q(state=OPEN),
                name="one_open_suggestion",
            ),
            models.CheckConstraint(
                condition=models.Q(state__in=STATES), name="suggestion_state_known"
            ),
        ]

    def __str__(self) -> str:
        return f"row {self.row} {self.state}"
