"""serve: web, worker and beat in one process, for one clinic on one machine."""

from __future__ import annotations

import signal
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from waitress import serve

from clinic import logs, supervise
from clinic.guards import refuse_old_schema, single_instance
from clinic.wsgi import application

log = logs.get("clinic.serve")


class Command(BaseCommand):
    help = "Serve pages and webhooks, send texts and watch, all in one process."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--host", default="127.0.0.1")
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--threads", type=int, default=6)
        parser.add_argument(
            "--web-only", action="store_true", help="No worker and no beat here."
        )

    def handle(self, *args: Any, **options: Any) -> None:
        lock = single_instance(Path(settings.DATA_DIR))
        refuse_old_schema()
        signal.signal(signal.SIGTERM, _interrupt)
        parts = [] if options["web_only"] else _background()
        try:
            self._serve(options)
        except KeyboardInterrupt:
            self.stderr.write("Stopping.")
        finally:
            for part in parts:
                part.stop()
            lock.close()

    def _serve(self, options: dict[str, Any]) -> None:
        host, port = options["host"], options["port"]
        self.stderr.write(f"Plumbline serves http://{host}:{port}  (Ctrl+C stops it)")
        serve(
            application,
            host=host,
            port=port,
            threads=options["threads"],
            ident=None,
            max_request_body_size=settings.DATA_UPLOAD_MAX_MEMORY_SIZE,
        )


def _background() -> list[Any]:
    return [supervise.worker().start(), supervise.beat().start()]


def _interrupt(*_: Any) -> None:
    sys.stderr.flush()
    raise KeyboardInterrupt
