"""How long the first page of the morning list takes at a site of 2,000 clients.

    python tests/bench/triage_page.py [--clients 2000] [--rows 50] [--runs 5]

Builds a site in a database of its own (SQLite in a temporary folder unless
DATABASE_URL is set), with reports of two weeks for every client and an open alert for
the first `rows`, then times GET /triage through Django's test client, signed in.
Prints wall and processor times with their medians (they differ on a busy machine),
the queries and the size of the answer.
"""

# ruff: noqa: E402  models can only be imported once Django is set up
from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from datetime import datetime, timedelta
from pathlib import Path
from statistics import median
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ["DATA_DIR"] = tempfile.mkdtemp(prefix="plumbline-bench-")
os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
os.environ["PLUMBLINE_TEST_DIR"] = os.environ["DATA_DIR"]

import django

django.setup()

from django.conf import settings
from django.core.management import call_command
from django.db import connection, transaction
from django.test import Client as Browser

from clinic import clock, scope
from clinic.fields import blind_index
from clinic.models import Client, ClientNumber, PhoneNumber
from programs.models import AssessmentRecord, SessionReport
from reminders import alerting, receiving
from reminders.logic.findings import Finding
from reminders.receiving import Arrival
from tests import cast as people

WORSE = "worse today 7, now down to my calf and foot tingles"
REPORTS_A_DAY, DAYS = 3, 14


def main() -> None:
    """Build, measure, print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--clients", type=int, default=2000)
    parser.add_argument("--rows", type=int, default=50)
    parser.add_argument("--runs", type=int, default=5)
    chosen = parser.parse_args()
    settings.ALLOWED_HOSTS = ["testserver"]
    call_command("migrate", verbosity=0)
    now = clock.now()
    cast = people.make_cast(now - timedelta(days=DAYS + 1))
    with scope.within(cast.organization.id), transaction.atomic():
        clients = _clients(cast, chosen.clients, now)
        _reports(clients, now)
        _alerts(clients[: chosen.rows], now)
    _texts(chosen.rows, now)
    _measured(cast, chosen.runs)


def _clients(cast: people.Cast, count: int, now: datetime) -> list[Client]:
    since = now - timedelta(days=DAYS)
    shared: dict[str, Any] = {"organization_id": cast.organization.id}
    clients = [
        Client(
            **shared,
            site=cast.site,
            clinician=cast.clinician,
            name=f"Person {number:04d}",
            time_zone="America/New_York",
            monitoring="active",
            created_at=since,
            monitored_since=since,
            last_heard_at=now - timedelta(hours=2),
        )
        for number in range(count)
    ]
    numbers = [_number(index) for index in range(count)]
    phones = [
        PhoneNumber(**shared, number=number, number_index=blind_index(number))
        for number in numbers
    ]
    held = [
        ClientNumber(**shared, client=client, phone=phone, since=since)
        for client, phone in zip(clients, phones, strict=True)
    ]
    for model, rows in ((Client, clients), (PhoneNumber, phones), (ClientNumber, held)):
        model.objects.bulk_create(rows, batch_size=500)
    return clients


def _number(index: int) -> str:
    """A number nobody has: an area code that is not given out, and the 555 prefix."""
    return f"+1{900 + index // 100 % 100:03d}555{100 + index % 100:04d}{index // 10000}"


def _reports(clients: list[Client], now: datetime) -> None:
    reports, records = [], []
    for client in clients:
        for back in range(REPORTS_A_DAY * DAYS):
            at = now - timedelta(hours=8 * back + 3)
            reports.append(_report(client, at, back))
        records.append(
            AssessmentRecord(
                organization_id=client.organization_id,
                client=client,
                at=now - timedelta(hours=3),
                location_trend="unchanged",
                pain_trend="unchanged",
            )
        )
    SessionReport.objects.bulk_create(reports, batch_size=1000)
    AssessmentRecord.objects.bulk_create(records, batch_size=1000)


def _report(client: Client, at: datetime, back: int) -> SessionReport:
    return SessionReport(
        organization_id=client.organization_id,
        client=client,
        key=f"{client.id}:{back}",
        at=at,
        completion="done",
        pain=float(3 + back % 3),
        areas={("thigh", "buttock", "back")[back % 3]: "present"},
        side="right",
    )


def _alerts(clients: list[Client], now: datetime) -> None:
    for index, client in enumerate(clients):
        urgency = ("same_day", "next_day", "review")[index % 3]
        opened = now - timedelta(hours=1, minutes=index)
        alerting.raise_alert(client, [Finding("no_response", urgency)], now=opened)


def _texts(count: int, now: datetime) -> None:
    """A worse reply of each through the real way in: reading, assessment, alert."""
    for index in range(count):
        arrival = Arrival(f"bench-{index}", _number(index), people.SENDING, WORSE)
        receiving.arrive(arrival, now - timedelta(minutes=count - index))


def _measured(cast: people.Cast, runs: int) -> None:
    browser = Browser()
    browser.force_login(cast.clinician)
    browser.get("/triage")  # warms templates and caches up
    walls, works, counts = [], [], []
    for _ in range(runs):
        queries: list[str] = []
        wall, work = time.perf_counter(), time.process_time()
        with connection.execute_wrapper(_counting(queries)):
            answer = browser.get("/triage")
        walls.append((time.perf_counter() - wall) * 1000)
        works.append((time.process_time() - work) * 1000)
        counts.append(len(queries))
    rows = answer.content.decode().count('class="card alert')
    print(f"{connection.vendor}, {rows} rows, {len(answer.content)} bytes,", end=" ")
    print(f"{counts[-1]} queries")
    print("wall ms", " ".join(f"{one:.0f}" for one in walls), end=", ")
    print(f"median {median(walls):.0f}")
    print("cpu ms", " ".join(f"{one:.0f}" for one in works), end=", ")
    print(f"median {median(works):.0f}")


def _counting(queries: list[str]) -> Any:
    def count(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        queries.append(sql)
        return execute(sql, params, many, context)

    return count


if __name__ == "__main__":
    main()
