"""A reminder leaves and a reply is answered through real Celery workers.

With REDIS_URL set: a worker process with beat on that Redis, as in production.
Without it: worker and beat in threads of this process, as `serve` runs them.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.conf import settings as live
from django.test import Client as Browser

from clinic import scope, supervise
from clinic.models import Client
from reminders import gateways, tasks
from reminders.models import Inbound, Outbound
from tests.cast import NUMBER, SENDING, Cast, make_cast, prescribe
from tests.gateway.server import Gateway

WAIT = 40.0
REAL_WAKE = tasks._wake  # the tests' ground silences it; here it is the subject


@pytest.fixture
def gateway(settings: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[Gateway]:
    monkeypatch.setattr(tasks, "_wake", REAL_WAKE)
    with Gateway() as gateway:
        settings.SMS_GATEWAY = "twilio"
        settings.TWILIO_ACCOUNT_SID = gateway.account
        settings.TWILIO_AUTH_TOKEN = gateway.token
        settings.TWILIO_API_BASE = gateway.base
        settings.TWILIO_MESSAGING_SERVICE_SID = ""
        gateways._built.cache_clear()
        yield gateway
        gateways._built.cache_clear()


@pytest.fixture
def workers(transactional_db: None, gateway: Gateway) -> Iterator[None]:
    with processes(gateway) if live.REDIS_URL else threads():
        yield


@contextmanager
def processes(gateway: Gateway) -> Iterator[None]:
    """`celery worker` with beat, on this test's database and the given Redis."""
    command = [sys.executable, "-m", "celery", "-A", "clinic.worker", "worker"]
    command += ["--pool", "threads", "--concurrency", "2", "--loglevel", "WARNING"]
    command += ["--beat", "--scheduler", "celery.beat:Scheduler"]
    worker = subprocess.Popen(command, env=environment(gateway), cwd=live.BASE_DIR)
    try:
        yield
    finally:
        worker.terminate()
        worker.wait(30)


@contextmanager
def threads() -> Iterator[None]:
    parts = [supervise.worker(threads=2).start(), supervise.beat().start()]
    try:
        yield
    finally:
        for part in parts:
            part.stop()


def environment(gateway: Gateway) -> dict[str, str]:
    return os.environ | {
        "DJANGO_SETTINGS_MODULE": "clinic.settings",
        "DATABASE_URL": database_url(),
        "REDIS_URL": live.REDIS_URL,
        "DATA_DIR": str(live.DATA_DIR),
        "PUBLIC_URL": live.PUBLIC_URL,
        "SMS_GATEWAY": "twilio",
        "TWILIO_ACCOUNT_SID": gateway.account,
        "TWILIO_AUTH_TOKEN": gateway.token,
        "TWILIO_API_BASE": gateway.base,
    }


def database_url() -> str:
    """The address of the database that this test run made for itself."""
    database = live.DATABASES["default"]
    if "sqlite" in database["ENGINE"]:
        return f"sqlite:///{database['NAME']}"
    return urlsplit(live.DATABASE_URL)._replace(path=f"/{database['NAME']}").geturl()


def noon_zone(now: datetime) -> str:
    """A zone in which it is about noon now, so that no quiet hours are in the way."""
    hours = now.hour - 12  # Etc/GMT+5 is five hours behind UTC (IANA sign)
    return f"Etc/GMT{hours:+d}" if hours else "Etc/GMT"


def until(condition: Callable[[], Any], what: str, *, by: Any = tasks.send) -> Any:
    """Wait for what the workers do.

    Other tests may empty the same Redis meanwhile, so that a wake-up is lost; then
    it is given again, as the next commit would.
    """
    deadline = time.monotonic() + WAIT
    again = time.monotonic() + 5
    while time.monotonic() < deadline:
        found = condition()
        if found:
            return found
        if time.monotonic() > again:
            again += 5
            tasks._wake(by)
        time.sleep(0.1)
    pytest.fail(f"{what} did not happen within {WAIT:.0f} s")


def arrived(gateway: Gateway, words: str) -> list[str]:
    taken = list(gateway.ledger.taken)
    return [text.body for text in taken if text.to == NUMBER and words in text.body]


def say(gateway: Gateway, body: str) -> None:
    def deliver(url: str, fields: dict[str, str], signature: str) -> int:
        headers = {"X-Twilio-Signature": signature}
        path = urlsplit(url).path
        return int(Browser().post(path, fields, headers=headers).status_code)

    url = f"{live.PUBLIC_URL}/sms/inbound"
    status = gateway.callbacks.inbound(url, NUMBER, SENDING, body, deliver=deliver)
    assert status == 200


def enrolled() -> Cast:
    """The cast as of now, with a client who is awake wherever the clock stands."""
    now = datetime.now(UTC)
    cast = make_cast(now)
    with scope.within(cast.organization.id):
        Client.objects.filter(pk=cast.client.pk).update(time_zone=noon_zone(now))
        cast.client.refresh_from_db()
        review = now.date() + timedelta(days=10)
        prescribe(cast.client, cast.clinician, now=now, review_on=review)
    return cast


@pytest.mark.timeout(240)
def test_a_reminder_leaves_and_a_reply_is_answered_through_the_workers(
    workers: None, gateway: Gateway
) -> None:
    cast = enrolled()
    with scope.within(cast.organization.id):
        its_time_comes(Outbound.objects.filter(kind="welcome"))
        until(lambda: arrived(gateway, "Reply OK"), "the first text")
        say(gateway, "ok")
        until(lambda: arrived(gateway, "you are set up"), "its answer")
        reminders = Outbound.objects.filter(kind="reminder", state="pending")
        until(reminders.exists, "the plan of the reminders", by=tasks.plan)
        its_time_comes(reminders.order_by("due_at")[:1])
        until(lambda: arrived(gateway, "Done or skipped?"), "the reminder")
        say(gateway, "done 3")
        until(lambda: arrived(gateway, "Thank you"), "the answer to the reply")
        sent = Outbound.objects.filter(sent_at__isnull=False)
        until(lambda: sent.count() == 4, "the record of all four")
        assert Inbound.objects.filter(state="read").count() == 2
        assert cast.client.reports.get().pain == 3
    bodies = [text.body for text in gateway.ledger.taken if text.to == NUMBER]
    assert len(bodies) == len(set(bodies)) == 4


def its_time_comes(rows: Any) -> None:
    """The waiting stands for hours of the day; the wake-up is the broker's."""
    now = datetime.now(UTC)
    chosen = Outbound.objects.filter(pk__in=[row.pk for row in rows], state="pending")
    chosen.update(due_at=now, not_after=now + timedelta(hours=1))
    tasks.wake_sender()
