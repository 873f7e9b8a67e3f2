"""The clinic app: people, places, access; also the Django project."""

from __future__ import annotations

from django.apps import AppConfig


class ClinicConfig(AppConfig):
    name = "clinic"

    def ready(self) -> None:
        from clinic import checks, worker  # noqa: F401  registers checks and Celery
