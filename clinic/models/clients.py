"""Clients, phone numbers, and which number reaches whom.

Person, number and consent are three tables: a number may be shared by two clients,
may change hands, and carries the opt-out itself.
"""

from __future__ import annotations

from django.db import models

from clinic.fields import EncryptedTextField
from clinic.models.base import Owned
from clinic.models.organizations import Site
from clinic.models.staff import Staff

PENDING, ACTIVE, ENDED = "pending", "active", "ended"
MONITORING = (PENDING, ACTIVE, ENDED)
ENDED_REASONS = ("", "opted_out", "wrong_number", "silent", "discharged", "undelivered")


class PhoneNumber(Owned):
    """A number in E.164; opt-out and wrong-number marks sit here, not on people."""

    number = EncryptedTextField()
    number_index = models.CharField(max_length=64)
    opted_out_at = models.DateTimeField(null=True, blank=True)
    wrong_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["organization", "number_index"], name="number_once"
            )
        ]

    def __str__(self) -> str:
        return "phone number"

    @property
    def may_receive(self) -> bool:
        return self.opted_out_at is None and self.wrong_at is None


class Client(Owned):
    """A person in care who answers texts.

    `monitoring`: pending (first text not answered yet), active, ended (reason beside).
    """

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="clients")
    clinician = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")
    name = EncryptedTextField()
    language = models.CharField(max_length=2, default="en")
    time_zone = models.CharField(max_length=64)
    monitoring = models.CharField(max_length=8, default=PENDING)
    ended_reason = models.CharField(max_length=16, blank=True, default="")
    ended_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField()
    monitored_since = models.DateTimeField(null=True, blank=True)
    last_heard_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [models.Index(fields=["site", "monitoring"], name="client_by_site")]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(monitoring__in=MONITORING), name="monitoring_known"
            ),
            models.CheckConstraint(
                condition=models.Q(ended_reason__in=ENDED_REASONS),
                name="ended_reason_known",
            ),
        ]

    def __str__(self) -> str:
        return f"client {str(self.id)[-6:]}"


class ClientNumber(Owned):
    """From when to when a number reaches a client; `until` empty means now."""

    client = models.ForeignKey(Client, on_delete=models.PROTECT, related_name="numbers")
    phone = models.ForeignKey(
        PhoneNumber, on_delete=models.PROTECT, related_name="holders"
    )
    since = models.DateTimeField()
    until = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["client"],
                condition=models.Q(until__isnull=True),
                name="one_current_number",
            )
        ]

    def __str__(self) -> str:
        return "number of a client"
