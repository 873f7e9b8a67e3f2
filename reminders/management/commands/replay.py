"""replay: conversations through the real inbound path on a simulated clock.

Standard output carries JSON lines only; everything else goes to standard error.
"""

from __future__ import annotations

import gc
import json
import logging
import sys
import tempfile
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from clinic import scratch
from reminders import conversations, replaying
from reminders.conversations import BadLine, Conversation


class Command(BaseCommand):
    help = (
        "Replay conversations from a JSON Lines file and print, for each turn, what"
        " was read, assessed, raised and texted. Works on a database of its own."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", help="JSON Lines, one conversation a line.")
        parser.add_argument(
            "--keep",
            action="store_true",
            help="Keep each conversation's database in a new folder, and name it.",
        )

        parser.add_argument(
            "--explain",
            action="store_true",
            help="Give with each turn the stages its text was read in.",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        # Replayed emergencies are paged and never taken: their lines would bury errors.
        logging.getLogger().setLevel("ERROR")
        folder = Path(tempfile.mkdtemp(prefix="replay-")) if options["keep"] else None
        try:
            with open(options["file"], encoding="utf-8") as lines:
                self._replay(lines, folder, explains=options["explain"])
        except BadLine as error:
            raise CommandError(f"{options['file']}, {error}", returncode=2) from error
        except (OSError, UnicodeDecodeError) as error:
            message = f"{options['file']} cannot be read as UTF-8 text."
            raise CommandError(message, returncode=2) from error
        if folder is not None:
            sys.stderr.write(f"Kept in {folder}, one database a conversation.\n")

    def _replay(self, lines: Any, folder: Path | None, *, explains: bool) -> None:
        with scratch.database() as database:
            clinic = replaying.found_clinic()
            database.mark()
            gc.freeze()  # nothing loaded so far becomes garbage
            for number, talk in enumerate(conversations.read(lines), start=1):
                database.back()
                self._print(talk, clinic, explains=explains)
                if folder is not None:
                    database.keep(folder / f"{number:05d}.sqlite3")

    def _print(self, talk: Conversation, clinic: Any, *, explains: bool) -> None:
        """All of a conversation at once: never half of one."""
        results = list(replaying.replay(talk, *clinic, explains=explains))
        for result in results:
            self.stdout.write(json.dumps(result, ensure_ascii=False))
