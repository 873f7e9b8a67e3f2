"""Mail to people on call: tried again until taken, never twice, and with no word."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.core import mail

from clinic import staffing
from reminders import alerting, escalating, mailing
from reminders.logic.findings import Finding
from reminders.models import Alert, StaffMail
from tests.cast import NOW, Cast

TWINS = "tests.reminders.mail_twins"


@pytest.fixture
def paged(inside: Cast) -> Alert:
    """An emergency; the first person's page waits to leave."""
    numb = Finding("saddle_numbness", "emergency")
    alert = alerting.raise_alert(inside.client, [numb], now=NOW)
    assert alert is not None
    escalating.page_if_emergency(alert, NOW)
    return alert


def server(settings: Any, name: str) -> None:
    settings.EMAIL_BACKEND = f"{TWINS}.{name}"


def later(**by: float) -> None:
    mailing.send_due(NOW + timedelta(**by))


def row() -> StaffMail:
    return StaffMail.objects.get()


def test_a_mail_leads_to_the_alert_and_says_nothing_about_anybody(
    paged: Alert, inside: Cast
) -> None:
    assert mailing.send_due(NOW) == 1
    [sent] = mail.outbox
    assert sent.to == [inside.clinician.email]
    assert f"/p/{paged.page_code}" in sent.body
    assert "every 10 minutes" in sent.body
    written = f"{sent.subject} {sent.body}".lower()
    words = ("ines", "calder", "numb", "saddle", "pain", "leg", "202", str(paged.id))
    for word in words:
        assert word not in written


def test_a_mail_that_left_is_not_sent_again(paged: Alert) -> None:
    for minute in range(5):
        later(minutes=minute)
    assert len(mail.outbox) == 1
    assert row().state == "sent"


def test_a_server_that_is_away_gets_it_when_it_is_back(
    paged: Alert, settings: Any
) -> None:
    server(settings, "Away")
    later(seconds=0)
    assert (row().state, row().error_code) == ("pending", "ConnectionRefusedError")
    later(seconds=20)
    assert row().attempts == 1  # not hammered
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    later(seconds=40)
    assert (row().state, row().error_code) == ("sent", "")
    assert len(mail.outbox) == 1


def test_a_busy_server_is_asked_again_with_longer_waits(
    paged: Alert, settings: Any
) -> None:
    server(settings, "Busy")
    for minute in range(30):
        later(minutes=minute)
    assert row().state == "pending"
    assert 5 <= row().attempts <= 10


def test_a_refused_address_is_final(paged: Alert, settings: Any) -> None:
    server(settings, "Strict")
    later(seconds=0)
    assert (row().state, row().error_code) == ("failed", "550")


def test_a_mail_that_may_have_been_taken_is_never_doubled(
    paged: Alert, settings: Any
) -> None:
    server(settings, "Vanishing")
    for minute in range(10):
        later(minutes=minute)
    assert row().state == "unknown"
    assert len(mail.outbox) == 1


def test_what_a_dead_worker_left_half_sent_is_not_sent_again(paged: Alert) -> None:
    mailing._claim(NOW)
    later(minutes=6)
    assert (row().state, row().error_code) == ("unknown", "process_lost")
    assert mail.outbox == []


def test_a_page_somebody_has_taken_meanwhile_does_not_leave(
    paged: Alert, inside: Cast
) -> None:
    alerting.acknowledge(paged, by=inside.lead, now=NOW)
    later(seconds=1)
    assert (row().state, row().error_code) == ("cancelled", "taken")
    assert mail.outbox == []


def test_a_closed_account_gets_no_mail(paged: Alert, inside: Cast) -> None:
    staffing.deactivate(inside.clinician, by=inside.owner, now=NOW)
    later(seconds=1)
    assert row().error_code == "account_closed"
    assert mail.outbox == []


def test_without_a_mail_server_nothing_claims_to_have_left(
    paged: Alert, settings: Any
) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.console.EmailBackend"
    later(seconds=1)
    assert (row().state, row().error_code) == ("failed", "no_server")


def test_an_old_page_is_let_go(paged: Alert) -> None:
    later(hours=13)
    assert row().state == "expired"
    assert mail.outbox == []


def test_a_page_about_nobody_s_text_leads_to_the_list(inside: Cast) -> None:
    escalating.page_site(inside.site, key="stranger:1", now=NOW)
    escalating.page_site(inside.site, key="stranger:1", now=NOW)
    assert mailing.send_due(NOW) == 1
    [sent] = mail.outbox
    assert "/triage" in sent.body
    assert "minutes" not in sent.body
