"""doctor: is this installation fit to text people? Names each fault and its cure."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core import checks
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connection

from clinic import doctoring, env
from clinic.guards import refuse_old_schema


class Command(BaseCommand):
    help = "Check settings, database, broker, sites; list what is set."

    def handle(self, *args: Any, **options: Any) -> None:
        faults = self._settings() + self._checks()
        if self._database_answers():
            faults += self._report(doctoring.faults())
            self._report(doctoring.warnings(), mark="!")
        else:
            faults += 1
        if faults:
            raise CommandError(f"{faults} to put right before texts go out.")
        self.stdout.write("Fit to serve.")

    def _settings(self) -> int:
        for variable in env.TABLE:
            value = env.read(variable.name)
            shown = ("set" if value else "not set") if variable.secret else value
            origin = "environment" if env.is_set(variable.name) else "default"
            self.stdout.write(f"  {variable.name:<30} {shown!s:<28} {origin}")
        return 0

    def _checks(self) -> int:
        found = checks.run_checks(include_deployment_checks=False)
        return self._report(
            doctoring.Fault(item.id or "", item.msg, item.hint or "")
            for item in found
            if item.level >= checks.ERROR
        )

    def _database_answers(self) -> bool:
        try:
            refuse_old_schema()
            with connection.cursor() as cursor:
                cursor.execute("SELECT 1")
        except (DatabaseError, CommandError) as error:
            text = "behind" if isinstance(error, CommandError) else "not answering"
            self.stdout.write(f"✗ clinic.E010 The database is {text}.")
            self.stdout.write("    Run manage.py migrate, or look at DATABASE_URL.")
            return False
        engine = settings.DATABASES["default"]["ENGINE"].rsplit(".", 1)[1]
        self.stdout.write(f"✓ database answers ({engine})")
        return True

    def _report(self, found: Any, mark: str = "✗") -> int:
        count = 0
        for fault in found:
            count += 1
            self.stdout.write(f"{mark} {fault.id} {fault.message}\n    {fault.hint}")
        return count
