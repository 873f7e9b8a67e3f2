"""Worker and beat inside the serving process, started again whenever they end.

A worker thread that dies does so silently; here its end is logged and it is built
anew. Rows are the truth, so a restart loses a wake-up at most.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from celery.beat import Scheduler, Service

from clinic import logs
from clinic.worker import app

log = logs.get("clinic.supervise")
RESTART_AFTER = 1.0


@dataclass
class Supervised:
    """One background part: how it is built, and the thread that keeps it going."""

    name: str
    build: Callable[[], Any]
    halt: Callable[[Any], None]
    stopping: threading.Event = field(default_factory=threading.Event)
    running: Any = None
    thread: threading.Thread | None = None

    def start(self) -> Supervised:
        """Start the thread; returns at once."""
        self.thread = threading.Thread(target=self._loop, name=self.name, daemon=True)
        self.thread.start()
        return self

    def stop(self, wait: float = 5.0) -> None:
        """Ask the part to end and wait for it, at most `wait` seconds."""
        self.stopping.set()
        if self.running is not None:
            self.halt(self.running)
        if self.thread is not None:
            self.thread.join(wait)

    def _loop(self) -> None:
        while not self.stopping.is_set():
            try:
                self.running = self.build()
                self.running.start()
            except Exception as error:  # noqa: BLE001  whatever ended it, it starts again
                log.error("part_failed", task=self.name, error=type(error).__name__)
            if not self.stopping.is_set():
                log.warning("part_restarts", task=self.name)
                time.sleep(RESTART_AFTER)


def worker(threads: int = 4) -> Supervised:
    """The Celery worker on the configured broker, in threads of this process."""

    def build() -> Any:
        return app.WorkController(
            app=app,
            pool="threads",
            concurrency=threads,
            without_heartbeat=True,
            without_mingle=True,
            without_gossip=True,
            quiet=True,
        )

    return Supervised("worker", build, lambda part: part.stop())


def beat() -> Supervised:
    """Celery's beat with its timetable in memory: no file, nothing to lose."""

    def build() -> Any:
        return Service(app, scheduler_cls=Scheduler, max_interval=1)

    return Supervised("beat", build, lambda part: part.stop())
