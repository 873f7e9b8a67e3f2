"""Organization, its sites, their closures and on-call chain."""

from __future__ import annotations

from datetime import time
from typing import Any

from django.db import models

from clinic.fields import EncryptedTextField
from clinic.logic.duty_hours import LONGEST
from clinic.models.base import Owned, Record

WEEKDAYS = ("0", "1", "2", "3", "4", "5", "6")  # Monday first, as date.weekday()


class Organization(Record):
    """A clinic group; owns every other row. Its number sends and receives texts."""

    name = models.CharField(max_length=120)
    sending_number = models.CharField(max_length=16, unique=True)
    created_at = models.DateTimeField()

    def __str__(self) -> str:
        return self.name


class Site(Owned):
    """One place of care, with its zone, hours and the numbers its texts name.

    `hours`: weekday ("0" is Monday) -> list of ["HH:MM", "HH:MM"], local.
    """

    name = models.CharField(max_length=120)
    short_name = models.CharField(max_length=18)
    time_zone = models.CharField(max_length=64)
    region = models.CharField(max_length=2, default="US")
    language = models.CharField(max_length=2, default="en")
    emergency_number = models.CharField(max_length=12, blank=True)
    crisis_line = models.CharField(max_length=16, blank=True)
    call_back_number = models.CharField(max_length=16, blank=True)
    hours: Any = models.JSONField(default=dict)
    quiet_from = models.TimeField(default=time(21, 0))
    quiet_to = models.TimeField(default=time(8, 0))
    page_wait_minutes = models.PositiveSmallIntegerField(default=10)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["organization", "name"], name="site_name_once"
            )
        ]

    def __str__(self) -> str:
        return self.name


class SiteClosure(Owned):
    """A day on which the site is closed (local date)."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="closures")
    on = models.DateField()
    note = models.CharField(max_length=80, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["site", "on"], name="closure_once")
        ]

    def __str__(self) -> str:
        return f"{self.on:%Y-%m-%d}"


class OnCallEntry(Owned):
    """A place on the site's on-call chain, walked from position 0 upwards.

    `hours`: when the person is on duty, as `logic.duty_hours` reads it; empty: always.
    """

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="on_call")
    position = models.PositiveSmallIntegerField()
    staff = models.ForeignKey("clinic.Staff", on_delete=models.PROTECT)
    number = EncryptedTextField()
    hours = models.CharField(max_length=LONGEST, blank=True, default="")

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(
                fields=["site", "position"], name="on_call_position_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.position}"
