"""Outcome measures as they were answered, and the questions a client was sent."""

from __future__ import annotations

import json
from typing import Any

from django.db import models

from clinic.fields import EncryptedTextField
from clinic.models.base import AppendOnly, Owned
from clinic.models.clients import Client
from clinic.models.staff import Staff

LINK, CLINIC = "link", "clinic"
SOURCES = (LINK, CLINIC)
ANSWERED, REPLACED = "answered", "replaced"


class Outcome(AppendOnly):
    """One measure taken once: its score, and the answers behind it as JSON.

    `source`: the client's page, or the clinic (then `by` says who typed it). `score`
    is on the measure's own scale; `missing` counts what was not answered. `key`
    makes the same answer arrive once.
    """

    client = models.ForeignKey(
        Client, on_delete=models.PROTECT, related_name="outcomes"
    )
    measure = models.CharField(max_length=16)
    key = models.CharField(max_length=64)
    source = models.CharField(max_length=6)
    at = models.DateTimeField()
    score = models.FloatField()
    missing = models.PositiveSmallIntegerField(default=0)
    answers = EncryptedTextField()
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["at", "id"]
        indexes = [
            models.Index(fields=["client", "measure", "at"], name="outcome_course")
        ]
        constraints = [
            # The key first: led by the organization, SQLite reads the whole clinic.
            models.UniqueConstraint(
                fields=["key", "organization"], name="outcome_key_once"
            ),
            models.CheckConstraint(
                condition=models.Q(source__in=SOURCES), name="outcome_source_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.measure} {str(self.id)[-6:]}"

    @property
    def said(self) -> dict[str, Any]:
        """The answers as they were given."""
        found: dict[str, Any] = json.loads(self.answers)
        return found

    @property
    def voided(self) -> OutcomeVoid | None:
        """The void with its reason, when the answer does not count."""
        return getattr(self, "void", None)


class OutcomeVoid(AppendOnly):
    """An answer that does not count, and why; the answer itself stays."""

    outcome = models.OneToOneField(
        Outcome, on_delete=models.PROTECT, related_name="void"
    )
    reason = EncryptedTextField()
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    def __str__(self) -> str:
        return "voided"


class OutcomeAsk(Owned):
    """A page of one measure that a client may answer once, until it closes.

    `digest`: SHA-256 of the link's token; the token itself is kept nowhere. It is
    made from the id, the measure and `expires_at` under the service's secret, so a
    row changed in the database opens nothing. `closed_why`: answered, or replaced by a
    newer one.
    """

    client = models.ForeignKey(Client, on_delete=models.PROTECT, related_name="asks")
    measure = models.CharField(max_length=16)
    digest = models.CharField(max_length=64, unique=True)
    asked_by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_why = models.CharField(max_length=10, blank=True, default="")
    outcome = models.OneToOneField(
        Outcome, on_delete=models.PROTECT, null=True, related_name="ask"
    )

    class Meta:
        ordering = ["asked_at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["client", "measure"],
                condition=models.Q(closed_at__isnull=True),
                name="one_open_ask",
            )
        ]

    def __str__(self) -> str:
        return f"{self.measure} {self.closed_why or 'open'}"
