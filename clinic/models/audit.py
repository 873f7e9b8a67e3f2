"""Audit entries, hash-chained per organization, and the head of each chain."""

from __future__ import annotations

from typing import Any

from django.db import models

from clinic.models.base import AppendOnly
from clinic.models.organizations import Organization


class AuditHead(models.Model):
    """The last entry of an organization's chain; locked while one is added."""

    organization = models.OneToOneField(
        Organization, on_delete=models.PROTECT, primary_key=True, related_name="+"
    )
    sequence = models.PositiveBigIntegerField(default=0)
    digest = models.CharField(max_length=64, default="0" * 64)

    def __str__(self) -> str:
        return f"{self.sequence}"


class AuditEntry(AppendOnly):
    """Who did what to which record and when; ids and codes only, no health words."""

    sequence = models.PositiveBigIntegerField()
    at = models.DateTimeField()
    actor = models.CharField(max_length=64)
    action = models.CharField(max_length=48)
    subject_type = models.CharField(max_length=32)
    subject_id = models.UUIDField()
    detail: Any = models.JSONField(default=dict)
    previous = models.CharField(max_length=64)
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["sequence"]
        indexes = [models.Index(fields=["subject_id"], name="audit_by_subject")]
        constraints = [
            models.UniqueConstraint(
                fields=["organization", "sequence"], name="audit_sequence_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.sequence} {self.action}"
