"""Escalating: page the chain, one after the other, until a person has it."""

from __future__ import annotations

import re
from datetime import timedelta

from clinic import settling, staffing
from clinic.models import AuditEntry, OnCallEntry
from reminders import alerting, escalating
from reminders.logic.findings import Finding
from reminders.models import Alert, AlertEvent, Outbound, StaffMail
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
    row = Outbound.objects.get(kind="staff_page")
    body = row.body
    assert re.search(r"/p/[a-z2-9]{10}$", body)
    assert row.parts == 1
    for word in ("Ines", "Calder", "numb", "saddle", "pain"):
        assert word.lower() not in body.lower()


def test_an_empty_chain_pages_nobody_and_breaks_nothing(inside: Cast) -> None:
    OnCallEntry.objects.filter(site=inside.site).delete()
    emergency(inside)
    walk(30, step=10)
    assert paged() == []
    assert AlertEvent.objects.filter(kind="paged").count() == 0


def test_every_page_is_mailed_as_well_and_on_the_audit_chain(inside: Cast) -> None:
    alert = emergency(inside)
    walk(10)
    mails = StaffMail.objects.order_by("due_at", "id")
    assert [mail.staff for mail in mails] == [inside.clinician, inside.lead]
    lines = AuditEntry.objects.filter(action="alert.paged", subject_id=alert.id)
    assert [line.detail["place"] for line in lines.order_by("sequence")] == [0, 1]
    assert lines.last().detail["staff"] == str(inside.lead.id)


def test_who_is_off_duty_is_not_paged(inside: Cast) -> None:
    on_duty(inside, "Mon-Fri 18:00-08:00", "Mon-Fri 08:00-18:00")  # it is Mon 10:00
    emergency(inside)
    walk(25)
    assert paged() == [SECOND, SECOND, SECOND]


def test_everybody_is_paged_in_turn_while_nobody_is_on_duty(inside: Cast) -> None:
    on_duty(inside, "Sat 08:00-12:00", "Sun 08:00-12:00")
    emergency(inside)
    walk(10)
    assert paged() == [FIRST, SECOND]


def test_who_has_left_is_not_paged(inside: Cast) -> None:
    staffing.deactivate(inside.clinician, by=inside.owner, now=NOW)
    emergency(inside)
    walk(10)
    assert paged() == [SECOND, SECOND]


def test_the_site_s_own_minutes_are_waited(inside: Cast) -> None:
    type(inside.site).objects.filter(pk=inside.site.pk).update(page_wait_minutes=3)
    inside.client.refresh_from_db()
    emergency(inside)
    walk(7)
    assert paged() == [FIRST, SECOND, FIRST]


def on_duty(cast: Cast, *hours: str) -> None:
    chain = [(cast.clinician, FIRST), (cast.lead, SECOND)]
    settling.set_on_call(cast.site, chain, hours=hours, by=cast.lead, now=NOW)
