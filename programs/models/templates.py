"""Program templates and their numbered versions, frozen once published."""

from __future__ import annotations

from typing import Any

from django.db import models

from clinic.models.base import Owned
from clinic.models.staff import Staff


class Template(Owned):
    """A home program the organization keeps for reuse."""

    name = models.CharField(max_length=120)
    created_at = models.DateTimeField()
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["organization", "name"], name="template_name_once"
            )
        ]

    def __str__(self) -> str:
        return self.name


class TemplateVersion(Owned):
    """One numbered version; `content` is the plan as values, frozen when published.

    content: {"items": [{"exercise", "hold_seconds", ...}], "times_per_day",
    "review_after_days", "stop_rules"}.
    """

    template = models.ForeignKey(
        Template, on_delete=models.PROTECT, related_name="versions"
    )
    number = models.PositiveIntegerField()
    content: Any = models.JSONField()
    change_note = models.CharField(max_length=200, blank=True)
    author = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField()
    published_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(
                fields=["template", "number"], name="template_version_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.template_id} v{self.number}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding and self._frozen():
            raise TypeError("A published version is frozen: make a new version.")
        super().save(*args, **kwargs)

    def _frozen(self) -> bool:
        rows = TemplateVersion.objects.filter(pk=self.pk, published_at__isnull=False)
        return rows.exists()
