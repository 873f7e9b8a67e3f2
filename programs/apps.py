"""The programs app: exercises, home programs, reports and their assessment."""

from __future__ import annotations

from django.apps import AppConfig


class ProgramsConfig(AppConfig):
    name = "programs"

    def ready(self) -> None:
        from clinic import shell

        shell.register(
            shell.Entry("Programs", "programs", "template.view", 40),
            shell.Entry("Exercises", "exercises", "exercise.view", 50),
        )
