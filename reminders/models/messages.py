"""Texts out and in, and the events that happened to each."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import Q

from clinic import scope
from clinic.fields import EncryptedTextField
from clinic.models.base import AppendOnly, Owned, Record
from clinic.models.clients import Client, PhoneNumber
from clinic.models.organizations import Organization
from clinic.models.staff import Staff

PENDING, CLAIMED, SENDING = "pending", "claimed", "sending"
OPEN_STATES = (PENDING, CLAIMED, SENDING)


class Outbound(Owned):
    """One text that is to leave, from its plan to its delivery.

    `key` is unique for ever, so a rerun, an edit or a second worker cannot make the
    same text twice. A reminder's body is written when it is claimed, with that
    moment's dose; other bodies are written with the row. `asks` is the question the
    text puts. Exactly one of `client` (to a client) and `staff` (to staff) is set,
    or neither for an answer to a number that reaches nobody. `next_try_at` holds a
    refused text back without hiding since when it is due.
    """

    client = models.ForeignKey(
        Client, on_delete=models.PROTECT, null=True, related_name="outbounds"
    )
    staff = models.ForeignKey(
        Staff, on_delete=models.PROTECT, null=True, related_name="+"
    )
    phone = models.ForeignKey(
        PhoneNumber, on_delete=models.PROTECT, null=True, related_name="outbounds"
    )
    staff_number = EncryptedTextField(null=True)
    key = models.CharField(max_length=120, unique=True)
    kind = models.CharField(max_length=32)
    asks = models.CharField(max_length=10, blank=True)
    body = EncryptedTextField(blank=True, default="")
    parts = models.PositiveSmallIntegerField(default=0)
    priority = models.PositiveSmallIntegerField(default=5)
    due_at = models.DateTimeField()
    not_after = models.DateTimeField()
    state = models.CharField(max_length=12, default=PENDING)
    attempts = models.PositiveSmallIntegerField(default=0)
    next_try_at = models.DateTimeField(null=True)
    lease = models.UUIDField(null=True)
    lease_until = models.DateTimeField(null=True)
    sent_at = models.DateTimeField(null=True)
    gateway_id = models.CharField(max_length=64, null=True, unique=True)  # noqa: DJ001  unique among those that have one
    error_code = models.CharField(max_length=32, blank=True)
    local_date = models.DateField(null=True)
    author = models.ForeignKey(
        Staff, on_delete=models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        indexes = [
            models.Index(
                fields=["priority", "due_at"],
                condition=Q(state=PENDING),
                name="outbound_due",
            ),
            models.Index(
                fields=["lease_until"],
                condition=Q(state__in=(CLAIMED, SENDING)),
                name="outbound_leased",
            ),
            models.Index(fields=["client", "-sent_at"], name="outbound_by_client"),
            models.Index(fields=["phone", "-due_at"], name="outbound_by_phone"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.state}"


class OutboundEvent(AppendOnly):
    """What happened to a text: from state, to state, when, by whom."""

    outbound = models.ForeignKey(
        Outbound, on_delete=models.PROTECT, related_name="events"
    )
    at = models.DateTimeField()
    from_state = models.CharField(max_length=12)
    to_state = models.CharField(max_length=12)
    actor = models.CharField(max_length=16)
    detail = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering = ["at", "id"]

    def __str__(self) -> str:
        return f"{self.from_state}>{self.to_state}"


class Inbound(Record):
    """A text that came in, stored before it is read.

    state: received (stored, not read), read, unread (reading failed: a person looks),
    unknown (from a number that reaches nobody). `reply` is what was read.
    """

    organization = models.ForeignKey(
        Organization, on_delete=models.PROTECT, null=True, related_name="+"
    )
    gateway_id = models.CharField(max_length=64, unique=True)
    phone = models.ForeignKey(
        PhoneNumber, on_delete=models.PROTECT, null=True, related_name="inbounds"
    )
    client = models.ForeignKey(
        Client, on_delete=models.PROTECT, null=True, related_name="inbounds"
    )
    from_number = EncryptedTextField()
    to_number = models.CharField(max_length=24)
    body = EncryptedTextField()
    received_at = models.DateTimeField()
    state = models.CharField(max_length=10, default="received")
    attempts = models.PositiveSmallIntegerField(default=0)
    asked = models.CharField(max_length=10, blank=True)
    reply: Any = models.JSONField(null=True)
    keyword = models.CharField(max_length=8, blank=True)

    objects: scope.ScopedManager[Any] = scope.ScopedManager()

    class Meta:
        indexes = [
            models.Index(fields=["client", "-received_at"], name="inbound_by_client"),
            models.Index(
                fields=["received_at"],
                condition=Q(state__in=("received", "unread")),
                name="inbound_unread",
            ),
        ]

    def __str__(self) -> str:
        return f"inbound {self.state}"
