"""Mail to staff that is to leave, from its page to the mail server."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from clinic.models.base import Owned
from clinic.models.organizations import Site
from clinic.models.staff import Staff
from reminders.models.alerts import Alert
from reminders.models.messages import PENDING, SENDING


class StaffMail(Owned):
    """One e-mail to a person on call; its words are written when it leaves.

    `key` is unique for ever, so a page is mailed once whoever runs twice. States are
    those of texts: pending, sending (with a lease), sent, unknown (the server may
    have taken it: never sent again blindly), failed, cancelled, expired.
    """

    staff = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")
    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="+")
    alert = models.ForeignKey(
        Alert, on_delete=models.PROTECT, null=True, related_name="mails"
    )
    key = models.CharField(max_length=120, unique=True)
    kind = models.CharField(max_length=32)
    due_at = models.DateTimeField()
    not_after = models.DateTimeField()
    state = models.CharField(max_length=12, default=PENDING)
    attempts = models.PositiveSmallIntegerField(default=0)
    next_try_at = models.DateTimeField(null=True)
    lease = models.UUIDField(null=True)
    lease_until = models.DateTimeField(null=True)
    sent_at = models.DateTimeField(null=True)
    error_code = models.CharField(max_length=32, blank=True)

    class Meta:
        indexes = [
            models.Index(
                fields=["due_at"],
                condition=Q(state__in=(PENDING, SENDING)),
                name="mail_due",
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.state}"
