"""Escalating: page the chain, one after the other, until a person has it."""

from __future__ import annotations

from datetime import timedelta

from clinic.models import OnCallEntry
from reminders import alerting, escalating
from reminders.logic.findings import Finding
from reminders.models import Alert, AlertEvent, Outbound
from tests.cast import NOW, Cast

NUMB = Finding("saddle_numbness", "emergency")
SPREADING = Finding("spreading", "same_day")
FIRST, SECOND = "+12025550191", "+12025550192"


def emergency(cast: Cast) -> Alert:
    alert = alerting.raise_alert(cast.client, [NUMB], now=NOW)
    assert alert is not None
    escalating.page_if_emergency(alert, NOW)
    return alert


def walk(minutes: int, *, step: int = 1) -> None:
    for minute in range(0, minutes + 1, step):
        escalating.walk(NOW + timedelta(minutes=minute))


def paged() -> list[str | None]:
    rows = Outbound.objects.filter(kind__startswith="staff_page")
    return [row.staff_number for row in rows.order_by("due_at", "id")]


def test_the_first_person_is_paged_at_once(inside: Cast) -> None:
    emergency(inside)
    assert paged() == [FIRST]


def test_the_chain_is_walked_round_and_round(inside: Cast) -> None:
    emergency(inside)
    walk(35)
    assert paged() == [FIRST, SECOND, FIRST, SECOND]


def test_walking_twice_in_a_minute_pages_once(inside: Cast) -> None:
    emergency(inside)
    walk(9)
    assert paged() == [FIRST]


def test_paging_ends_when_somebody_has_it(inside: Cast) -> None:
    alert = emergency(inside)
    walk(10)
    at = NOW + timedelta(minutes=12)
    alerting.acknowledge(alert, by=inside.lead, now=at)
    walk(90)
    assert paged() == [FIRST, SECOND]


def test_a_new_emergency_after_that_pages_again_from_the_start(inside: Cast) -> None:
    alert = emergency(inside)
    alerting.acknowledge(alert, by=inside.lead, now=NOW)
    later = NOW + timedelta(hours=3)
    alerting.raise_alert(inside.client, [Finding("crisis", "emergency")], now=later)
    escalating.walk(later)
    assert paged() == [FIRST, FIRST]


def test_a_lesser_reason_after_that_pages_nobody(inside: Cast) -> None:
    alert = emergency(inside)
    alerting.acknowledge(alert, by=inside.lead, now=NOW)
    later = NOW + timedelta(hours=3)
    alerting.raise_alert(inside.client, [SPREADING], now=later)
    escalating.walk(later)
    assert alerting.open_chain(inside.client).state == "open"  # type: ignore[union-attr]
    assert paged() == [FIRST]


def test_less_than_an_emergency_pages_nobody(inside: Cast) -> None:
    alerting.raise_alert(inside.client, [SPREADING], now=NOW)
    walk(60, step=10)
    assert paged() == []


def test_a_page_names_no_client_and_no_health_word(inside: Cast) -> None:
    emergency(inside)
    body = Outbound.objects.get(kind="staff_page").body
    assert "/triage" in body
    for word in ("Ines", "Calder", "numb", "saddle", "pain"):
        assert word.lower() not in body.lower()


def test_an_empty_chain_pages_nobody_and_breaks_nothing(inside: Cast) -> None:
    OnCallEntry.objects.filter(site=inside.site).delete()
    emergency(inside)
    walk(30, step=10)
    assert paged() == []
    assert AlertEvent.objects.filter(kind="paged").count() == 0
