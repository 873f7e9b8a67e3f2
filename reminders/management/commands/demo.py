"""demo: an invented clinic with weeks of simulated life, then served.

Settings are read when the process starts, so the command starts itself again with
the demo's own environment; the second process builds and serves.
"""

from __future__ import annotations

import gc
import logging
import os
import sys
import time
from argparse import SUPPRESS, ArgumentParser
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from clinic import clock, env, scope
from reminders import triage
from reminders.demo import building, folder, founding
from reminders.demo.building import Wanted
from reminders.demo.folder import DemoRefused
from reminders.demo.founding import DemoClinic
from reminders.demo.weeks import Weeks


class Command(BaseCommand):
    help = "Build an invented clinic with weeks of simulated life, and serve it."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument(
            "--seed", type=int, default=2, help="Another seed, other people."
        )
        parser.add_argument("--clients", type=int, default=40, help="2 to 200.")
        parser.add_argument("--days", type=int, default=21, help="2 to 60.")
        parser.add_argument(
            "--no-serve", action="store_true", help="Build it and stop."
        )
        parser.add_argument("--until", help=SUPPRESS)  # a fixed end, for tests

    def handle(self, *args: Any, **options: Any) -> None:
        _check(options)
        try:
            if not settings.DEMO:
                self._start_again(options)
            self._build_and_serve(options)
        except DemoRefused as error:
            raise CommandError(str(error)) from error

    def _start_again(self, options: dict[str, Any]) -> None:
        """This process was started with a real installation's settings: leave them."""
        if not options["no_serve"]:
            folder.refuse_taken_port(options["port"])
        place = folder.rebuilt(env.data_dir() / "demo")
        arguments = [sys.executable, *sys.argv]
        sys.stdout.flush()
        os.execve(sys.executable, arguments, _environment(place, options["port"]))  # noqa: S606  itself, no shell

    def _build_and_serve(self, options: dict[str, Any]) -> None:
        place = Path(settings.DATA_DIR)
        if not folder.is_ours(place) or Path(_database()).exists():
            raise DemoRefused("Run `manage.py demo` without DEMO in the environment.")
        password = founding.made_up_password()
        self._build(options, password)
        if not options["no_serve"]:
            call_command("serve", port=options["port"])

    def _build(self, options: dict[str, Any], password: str) -> None:
        started = time.monotonic()
        logging.getLogger().setLevel("ERROR")
        self.stdout.write("Building the demo: everybody in it is invented.")
        call_command("migrate", verbosity=0, interactive=False)
        _write_lazily()
        gc.freeze()  # nothing loaded so far becomes garbage: look at new things only
        gc.set_threshold(50_000, 20, 50)
        clinic, weeks = building.build(
            _wanted(options),
            password=password,
            tell=self._tell,
            present=None if options["until"] else clock.now,
        )
        _write_safely()
        logging.getLogger().setLevel(settings.LOG_LEVEL)
        self._say_what_was_built(clinic, weeks, time.monotonic() - started)
        self._say_how_to_sign_in(clinic, password, options["port"])

    def _tell(self, line: str) -> None:
        self.stdout.write(f"  {line}")
        self.stdout.flush()

    def _say_what_was_built(
        self, clinic: DemoClinic, weeks: Weeks, seconds: float
    ) -> None:
        with scope.within(clinic.organization.id):
            rows = triage.rows(clinic.people["owner"], weeks.lapse.now)
        reasons = Counter(
            entry["reason"] for row in rows for entry in row.alert.reasons
        )
        listed = ", ".join(f"{name} {count}" for name, count in sorted(reasons.items()))
        self.stdout.write(
            f"Built in {seconds:.0f} s ({weeks.spent()}):"
            f" {weeks.texts_out} texts out, {weeks.texts_in} in,"
            f" {weeks.decided} decisions.\nOpen this morning: {listed}."
        )

    def _say_how_to_sign_in(self, clinic: DemoClinic, password: str, port: int) -> None:
        self.stdout.write(f"\nSign in at http://127.0.0.1:{port}/  as one of")
        for each in clinic.accounts:
            self.stdout.write(f"  {each.email:32} {each.role}, {each.site}")
        self.stdout.write(
            f"Password of all of them, made for this demo only:  {password}\n"
            f"Morning list: http://127.0.0.1:{port}/triage"
            f"   Clients' phones: http://127.0.0.1:{port}/phones\n"
        )


def _check(options: dict[str, Any]) -> None:
    if not 2 <= options["clients"] <= 200 or not 2 <= options["days"] <= 60:
        raise CommandError("Give 2 to 200 --clients and 2 to 60 --days.")


def _wanted(options: dict[str, Any]) -> Wanted:
    until = clock.now()
    if options["until"]:
        until = datetime.fromisoformat(options["until"]).astimezone(UTC)
    return Wanted(options["clients"], options["days"], options["seed"], until)


def _environment(place: Path, port: int) -> dict[str, str]:
    return os.environ | {
        "DEMO": "1",
        "DATA_DIR": str(place.resolve()),
        "DATABASE_URL": "",
        "REDIS_URL": "",
        "SMS_GATEWAY": "phones",
        "PUBLIC_URL": f"http://127.0.0.1:{port}",
    }


def _database() -> str:
    return str(settings.DATABASES["default"]["NAME"])


def _write_lazily() -> None:
    """While building only: a demo cut off half-way is rebuilt, so nothing is lost.

    Waiting for the disk after each of some ten thousand commits would take minutes.
    """
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA synchronous=OFF")


def _write_safely() -> None:
    """From here on it is served, and an answered reply must survive a power cut."""
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA synchronous=FULL")
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
