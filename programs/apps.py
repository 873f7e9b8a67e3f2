"""The programs app: exercises, home programs, reports and their assessment."""

from django.apps import AppConfig


class ProgramsConfig(AppConfig):
    name = "programs"
