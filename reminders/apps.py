"""The reminders app: texts out and in, reading them, alerts and triage."""

from django.apps import AppConfig


class RemindersConfig(AppConfig):
    name = "reminders"

    def ready(self) -> None:
        from reminders import wiring

        wiring.connect()
