"""Bearer tokens of devices: stored as a digest, shown once, revocable."""

from __future__ import annotations

from django.db import models

from clinic.models.base import Owned
from clinic.models.staff import Staff


class DeviceToken(Owned):
    """A device that acts for a staff member over the API."""

    staff = models.ForeignKey(Staff, on_delete=models.CASCADE, related_name="tokens")
    device = models.CharField(max_length=80)
    digest = models.CharField(max_length=64, unique=True)
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    last_used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.device
