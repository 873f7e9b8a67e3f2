"""Alerts, what happened to them, front-desk tasks."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import Q

from clinic.fields import EncryptedTextField
from clinic.models.base import AppendOnly, Owned
from clinic.models.clients import Client
from clinic.models.organizations import Site
from clinic.models.staff import Staff

OPEN, ACKNOWLEDGED, RESOLVED = "open", "acknowledged", "resolved"
UNRESOLVED = (OPEN, ACKNOWLEDGED)


class Alert(Owned):
    """The one open chain of a client that grows with each new reason.

    `reasons`: list of {"reason", "urgency", "at", "inbound"} in order of arrival.
    `rank` orders urgencies (0 = emergency) so the database can sort. While
    `snoozed_until` is ahead the chain is put away; it grows all the same. `page_code`
    names the alert in a page to staff: it opens nothing without sign-in.
    """

    client = models.ForeignKey(Client, on_delete=models.PROTECT, related_name="alerts")
    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="+")
    urgency = models.CharField(max_length=10)
    rank = models.PositiveSmallIntegerField()
    state = models.CharField(max_length=12, default=OPEN)
    reasons: Any = models.JSONField(default=list)
    opened_at = models.DateTimeField()
    raised_at = models.DateTimeField()
    act_by = models.DateTimeField()
    exercise = models.CharField(max_length=32, blank=True)
    acknowledged_by = models.ForeignKey(
        Staff, on_delete=models.PROTECT, null=True, related_name="+"
    )
    acknowledged_at = models.DateTimeField(null=True)
    resolved_by = models.ForeignKey(
        Staff, on_delete=models.PROTECT, null=True, related_name="+"
    )
    resolved_at = models.DateTimeField(null=True)
    pages_sent = models.PositiveSmallIntegerField(default=0)
    paged_at = models.DateTimeField(null=True)
    page_code = models.CharField(max_length=12, null=True, unique=True)  # noqa: DJ001  unique among those that have one
    snoozed_until = models.DateTimeField(null=True)
    snoozed_by = models.ForeignKey(
        Staff, on_delete=models.PROTECT, null=True, related_name="+"
    )
    snooze_reason = EncryptedTextField(blank=True, default="")

    class Meta:
        indexes = [
            models.Index(
                fields=["site", "rank", "act_by"],
                condition=Q(state__in=UNRESOLVED),
                name="alert_on_triage",
            ),
            models.Index(fields=["client", "-opened_at"], name="alert_by_client"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["client"],
                condition=Q(state__in=UNRESOLVED),
                name="one_open_alert_chain",
            )
        ]

    def __str__(self) -> str:
        return f"{self.urgency} {self.state}"


class AlertEvent(AppendOnly):
    """opened, grown, raised, acknowledged, paged, snoozed, returned, resolved.

    `note`: why a chain was put away; the chain itself keeps only the last one.
    """

    alert = models.ForeignKey(Alert, on_delete=models.PROTECT, related_name="events")
    at = models.DateTimeField()
    kind = models.CharField(max_length=12)
    urgency = models.CharField(max_length=10)
    reason = models.CharField(max_length=32, blank=True)
    actor = models.CharField(max_length=48)
    inbound_id = models.UUIDField(null=True)
    outbound_id = models.UUIDField(null=True)
    note = EncryptedTextField(blank=True, default="")

    class Meta:
        ordering = ["at", "id"]

    def __str__(self) -> str:
        return f"{self.kind} {self.reason}"


class DeskTask(Owned):
    """A front-desk task by code; the text's body is not shown there.

    codes: wrong_number, number_failed, shared_number, opted_out, unknown_number,
    appointment, sender_setup.
    """

    client = models.ForeignKey(
        Client, on_delete=models.PROTECT, null=True, related_name="desk_tasks"
    )
    site = models.ForeignKey(
        Site, on_delete=models.PROTECT, null=True, related_name="+"
    )
    code = models.CharField(max_length=20)
    detail = EncryptedTextField(blank=True, default="")
    at = models.DateTimeField()
    done_at = models.DateTimeField(null=True)
    done_by = models.ForeignKey(
        Staff, on_delete=models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering = ["at"]
        constraints = [
            models.UniqueConstraint(
                fields=["client", "code"],
                condition=Q(done_at__isnull=True, client__isnull=False),
                name="one_open_task_a_code",
            )
        ]

    def __str__(self) -> str:
        return self.code
