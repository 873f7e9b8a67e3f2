"""The clinic app: people, places, access; also the Django project."""

from __future__ import annotations

from django.apps import AppConfig


class ClinicConfig(AppConfig):
    name = "clinic"

    def ready(self) -> None:
        from clinic import checks, shell, worker  # noqa: F401  registers checks, Celery

        shell.register(
            shell.Entry("Sites", "sites", "site.view", 60),
            shell.Entry("Staff", "staff", "staff.view", 70),
            shell.Entry("Audit", "audit", "audit.view", 75),
            shell.Entry("Settings", "settings", "settings.view", 80),
        )
