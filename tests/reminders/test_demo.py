"""The demo: weeks of life through the real paths, and a folder that is its own."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from clinic import audit, scope, scratch
from clinic.models import Client, ConsentEvent
from programs.models import Decision, HomeProgram, SessionReport, StartingPoint
from reminders import triage
from reminders.demo import building, folder, founding
from reminders.demo.building import Wanted
from reminders.demo.folder import DemoRefused
from reminders.models import AlertEvent, Inbound, Outbound

UNTIL = datetime(2026, 3, 12, 22, 0, tzinfo=UTC)  # Thursday, 18:00 in New York
PASSWORD = "amber-anchor-basil-birch42"


@dataclass(frozen=True)
class Life:
    """What one building of the demo left, as values."""

    texts: list[tuple[Any, ...]]
    replies: list[tuple[Any, ...]]
    alerts: list[tuple[Any, ...]]
    decisions: int
    reports: int
    starts: int
    consents: Counter[str]
    languages: set[str]
    audit_fault: str | None
    morning: set[str]
    told: list[str]
    people: int
    templated: bool


def lived(seed: int) -> Life:
    told: list[str] = []
    wanted = Wanted(clients=12, days=6, seed=seed, until=UNTIL)
    with scratch.database():
        clinic, weeks = building.build(
            wanted, password=PASSWORD, tell=told.append, present=None
        )
        with scope.within(clinic.organization.id):
            owner, now = clinic.people["owner"], weeks.lapse.now
            rows = triage.rows(owner, now)
            reasons = {e["reason"] for row in rows for e in row.alert.reasons}
            programs = HomeProgram.objects.all()
            return Life(
                texts=_texts(),
                replies=_replies(),
                alerts=_alerts(),
                decisions=Decision.objects.count(),
                reports=SessionReport.objects.count(),
                starts=StartingPoint.objects.count(),
                consents=Counter(ConsentEvent.objects.values_list("kind", flat=True)),
                languages=set(Client.objects.values_list("language", flat=True)),
                audit_fault=audit.verify(clinic.organization)[1],
                morning=reasons,
                told=told,
                people=len(clinic.accounts),
                templated=not programs.filter(template_version=None).exists(),
            )


def _texts() -> list[tuple[Any, ...]]:
    rows = Outbound.objects.filter(sent_at__isnull=False).order_by("sent_at", "id")
    return [(str(row.key), row.kind, row.sent_at, row.body) for row in rows]


def _replies() -> list[tuple[Any, ...]]:
    rows = Inbound.objects.order_by("received_at", "id")
    return [(row.received_at, row.state, row.body) for row in rows]


def _alerts() -> list[tuple[Any, ...]]:
    rows = AlertEvent.objects.order_by("at", "id")
    return list(rows.values_list("at", "kind", "reason", "urgency", "actor"))


@pytest.fixture(scope="module")
def life(django_db_setup: None, django_db_blocker: Any) -> Iterator[Life]:
    with django_db_blocker.unblock():
        yield lived(seed=4)


def test_days_of_texts_replies_reports_and_decisions_lie_behind(life: Life) -> None:
    assert len(life.texts) > 150
    assert len(life.replies) > 60
    assert life.reports > 50
    assert life.decisions > 5
    assert {event[1] for event in life.alerts} >= {"opened", "acknowledged", "resolved"}


def test_every_reply_was_read(life: Life) -> None:
    assert {reply[1] for reply in life.replies} == {"read"}


def test_clients_write_in_three_languages(life: Life) -> None:
    assert life.languages == {"en", "es", "fr"}


def test_each_client_agreed_was_prescribed_for_and_most_confirmed(life: Life) -> None:
    assert life.consents["recorded"] == 12
    assert 9 <= life.consents["confirmed"] <= 12
    assert life.starts == 12
    assert life.templated


def test_the_audit_chain_verifies(life: Life) -> None:
    assert life.audit_fault is None


def test_no_text_left_twice(life: Life) -> None:
    keys = [text[0] for text in life.texts]
    assert len(keys) == len(set(keys))


def test_the_last_morning_is_left_to_the_visitor(life: Life) -> None:
    assert life.morning >= {"bladder_bowel", "spreading", "opted_out", "question"}


def test_progress_is_told_day_by_day(life: Life) -> None:
    assert len(life.told) == 7
    assert life.told[-1].startswith("day 6 of 6: ")


def test_each_role_has_an_account(life: Life) -> None:
    roles = {role for _, _, role, _ in founding.PEOPLE}
    assert roles == {"owner", "site_lead", "clinician", "front_desk", "auditor"}
    assert life.people == len(founding.PEOPLE)


@pytest.mark.django_db
def test_the_same_seed_and_end_give_the_same_life(life: Life) -> None:
    again = lived(seed=4)
    assert again.texts == life.texts
    assert again.replies == life.replies
    assert again.alerts == life.alerts


def test_two_passwords_are_never_alike() -> None:
    made = {founding.made_up_password() for _ in range(50)}
    assert len(made) == 50
    assert min(map(len, made)) >= 15


def test_a_folder_of_somebody_else_is_refused_and_left_alone(tmp_path: Path) -> None:
    (tmp_path / "plumbline.sqlite3").write_text("records")
    with pytest.raises(DemoRefused, match="did not make"):
        folder.rebuilt(tmp_path)
    assert (tmp_path / "plumbline.sqlite3").read_text() == "records"


def test_a_link_to_another_folder_is_refused(tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (tmp_path / "demo").symlink_to(elsewhere)
    with pytest.raises(DemoRefused, match="plain folder"):
        folder.rebuilt(tmp_path / "demo")


def test_its_own_folder_is_rebuilt_empty(tmp_path: Path) -> None:
    place = folder.rebuilt(tmp_path / "demo")
    (place / "old").write_text("gone")
    folder.rebuilt(place)
    assert [each.name for each in place.iterdir()] == [folder.MARKER]


@pytest.mark.parametrize(
    "options", [{"clients": 1}, {"days": 0}, {"clients": 500}, {"days": 61}]
)
def test_a_size_out_of_bounds_is_refused(options: dict[str, int]) -> None:
    with pytest.raises(CommandError, match="Give 2 to 200"):
        call_command("demo", **options)
