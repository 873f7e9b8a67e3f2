"""found_clinic: the first organization and its owner on a real installation."""

from __future__ import annotations

import getpass
import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from clinic import clock, staffing
from clinic.errors import PlumblineError
from clinic.logic.phone import PhoneError, to_e164
from clinic.logic.roles import OWNER


class Command(BaseCommand):
    help = "Make an organization and its owner; asks for the owner's password."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--name", required=True, help="Name of the organization.")
        parser.add_argument(
            "--number", required=True, help="Number its texts leave from."
        )
        parser.add_argument("--region", default="US", help="Country of the number.")
        parser.add_argument("--owner-name", required=True)
        parser.add_argument("--owner-email", required=True)

    def handle(self, *args: Any, **options: Any) -> None:
        password = self._password()
        try:
            number = to_e164(options["number"], options["region"])
            self._found(options, number, password)
        except (PlumblineError, PhoneError) as error:
            raise CommandError(str(error)) from error
        self.stdout.write(
            f"Made. {options['owner_email']} signs in, opens a site and adds people."
        )

    @transaction.atomic
    def _found(self, options: dict[str, Any], number: str, password: str) -> None:
        now = clock.now()
        organization = staffing.found_organization(options["name"], number, now=now)
        owner = staffing.add_staff(
            organization,
            email=options["owner_email"],
            name=options["owner_name"],
            password=password,
            by="found_clinic",
            now=now,
        )
        staffing.grant(owner, OWNER, None, by="found_clinic", now=now)

    def _password(self) -> str:
        """From the terminal, or the first line of standard input for scripts."""
        if not sys.stdin.isatty():
            return sys.stdin.readline().rstrip("\n")
        first = getpass.getpass("Owner's password (15 letters or more): ")
        if first != getpass.getpass("Again: "):
            raise CommandError("The two passwords differ: try again.")
        return first
