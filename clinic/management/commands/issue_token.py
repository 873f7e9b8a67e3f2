"""issue_token: a bearer token for a person's device, printed once."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from clinic import clock, pairing
from clinic.models import Staff


class Command(BaseCommand):
    help = "Issue a bearer token for the API; it is printed once and kept as a digest."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--staff", required=True, metavar="EMAIL")
        parser.add_argument("--device", required=True, metavar="NAME")

    def handle(self, *args: Any, **options: Any) -> None:
        email = options["staff"].strip().lower()
        staff = Staff.objects.filter(email=email, is_active=True).first()
        if staff is None:
            raise CommandError("No active account has this e-mail address.")
        _, token = pairing.issue(staff, options["device"], now=clock.now())
        self.stdout.write(token)
