"""A caseload of synthetic clients texted three times a day, for tests."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from reminders.simulation.clients import SyntheticClient
from reminders.simulation.said import Answer

FIRST_DAY = datetime(2026, 3, 2)  # noqa: DTZ001 - a wall-clock day, zoned per client
SLOTS = (9, 13, 18)


@dataclass(frozen=True, slots=True)
class Sent:
    client: SyntheticClient
    day: int
    at: datetime
    answers: list[Answer]


def texted(
    clients: Iterable[SyntheticClient], *, days: int = 28, asks: str | None = "session"
) -> Iterator[Sent]:
    for client in clients:
        zone = ZoneInfo(client.zone)
        for day in range(days):
            for hour in SLOTS:
                wall = FIRST_DAY + timedelta(days=day, hours=hour)
                at = wall.replace(tzinfo=zone).astimezone(UTC)
                yield Sent(client, day, at, client.answers(at, asks))
