"""Consent as events: what was asked in which words, what was answered, when."""

from __future__ import annotations

from django.db import models

from clinic.models.base import AppendOnly
from clinic.models.clients import Client, PhoneNumber
from clinic.models.staff import Staff

RECORDED, CONFIRMED = "recorded", "confirmed"
WITHDRAWN, RESUMED, WRONG_NUMBER = "withdrawn", "resumed", "wrong_number"
KINDS = (RECORDED, CONFIRMED, WITHDRAWN, RESUMED, WRONG_NUMBER)


class ConsentEvent(AppendOnly):
    """One consent fact about texting a number (47 CFR 64.1200(a)(10) asks for proof).

    recorded: staff noted the client's consent and its wording; confirmed: the client
    answered the first text; withdrawn, resumed: by the client's own text.
    """

    client = models.ForeignKey(
        Client, on_delete=models.PROTECT, null=True, related_name="consent"
    )
    phone = models.ForeignKey(
        PhoneNumber, on_delete=models.PROTECT, related_name="consent"
    )
    kind = models.CharField(max_length=16)
    wording = models.TextField(blank=True)
    language = models.CharField(max_length=2, default="en")
    at = models.DateTimeField()
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    inbound_id = models.UUIDField(null=True)

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(kind__in=KINDS), name="consent_kind_known"
            )
        ]

    def __str__(self) -> str:
        return self.kind
