"""verify_audit: walk every organization's audit chain and name the first bad line."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from clinic import audit, scope
from clinic.models import Organization


class Command(BaseCommand):
    help = "Verify the hash chain of the audit trail; exit code 1 if a line is bad."

    def handle(self, *args: Any, **options: Any) -> None:
        bad = 0
        for organization in Organization.objects.order_by("created_at"):
            with scope.within(organization.id):
                lines, fault = audit.verify(organization)
            bad += fault is not None
            verdict = fault or "every line holds"
            self.stdout.write(f"{organization.name}: {lines} lines, {verdict}")
        if bad:
            raise CommandError(
                "The audit trail was changed: keep the database as it is."
            )
