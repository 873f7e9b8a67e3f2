"""A day of five hundred clients over HTTP: none lost, none doubled.

The real client library sends to the loopback gateway, whose own log is the truth;
callbacks and replies come back signed through the webhooks. Every text is called back;
every fifth once more with older news, after the end. Each client answers the first
text and one of the day's reminders, in the order of the five hundred.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
import time_machine
from django.conf import settings as live
from django.test import Client as Browser

from clinic import scope
from programs.models import SessionReport
from reminders import escalating, planning, receiving, sending, watching
from reminders.gateways.twilio import TwilioGateway
from reminders.models import Inbound, Outbound, OutboundEvent
from tests import cast as people
from tests.cast import Cast, enroll, make_cast, prescribe
from tests.gateway.callbacks import CallbackPlan
from tests.gateway.ledger import Taken
from tests.gateway.server import Gateway

CLIENTS, A_DAY = 500, 5
EVENING = datetime(2026, 3, 3, 1, 35, tzinfo=UTC)  # Monday 20:35 in New York
REPLIES = ("done 3", "done, pain 2, back", "skipped", "partly, 4, thigh", "3")


def number(index: int) -> str:
    """A fictional number of its own for each client (area codes 202 to 206)."""
    return f"+1{202 + index // 100}55501{index % 100:02d}"


@pytest.fixture
def gateway(settings: Any) -> Iterator[Gateway]:
    plan = CallbackPlan(order=("delivered",), shuffle=True, seed=5)
    with Gateway(plan=plan) as gateway:
        settings.TWILIO_ACCOUNT_SID = gateway.account
        settings.TWILIO_AUTH_TOKEN = gateway.token
        settings.TWILIO_API_BASE = gateway.base
        settings.TWILIO_MESSAGING_SERVICE_SID = ""
        yield gateway


class Clinic:
    """The service's tasks and the gateway's webhooks on one simulated clock."""

    def __init__(self, gateway: Gateway) -> None:
        self.gateway = gateway
        self.sender = TwilioGateway.from_settings()
        self.browser = Browser()
        self.now = EVENING
        self.seen = 0
        self.replied: list[str] = []
        self.late_news = 0

    def step(self) -> None:
        """What the workers do in a while, then everything the gateway has for us."""
        receiving.sweep(self.now)
        sending.expire_and_release(self.now)
        watching.watch(self.now)
        escalating.walk(self.now)
        sending.send_due(self.sender, self.now, most=10_000)
        with time_machine.travel(self.now, tick=False):
            self.gateway.callbacks.pump(self.deliver)

    def people_answer(self) -> None:
        """The people who got the new texts answer them, and old news comes late."""
        texts = self.gateway.ledger.taken[self.seen :]
        with time_machine.travel(self.now, tick=False):
            for place, text in enumerate(texts, self.seen):
                if place % 5 == 0:
                    self.old_news(text)
                if "Reply OK" in text.body:
                    self.reply(text, "ok")
                elif "0-10?" in text.body and text.to not in self.replied:
                    self.maybe_reply(place, text)
        self.seen += len(texts)

    def maybe_reply(self, place: int, text: Taken) -> None:
        """One client in four answers now; the last session is answered by the rest."""
        if place % 4 == 0 or self.now > EVENING + timedelta(hours=20):
            self.replied.append(text.to)
            self.reply(text, REPLIES[place % len(REPLIES)])

    def reply(self, text: Taken, body: str) -> None:
        self.gateway.callbacks.inbound(
            f"{live.PUBLIC_URL}/sms/inbound",
            text.to,
            text.sender,
            body,
            deliver=self.deliver,
        )

    def old_news(self, text: Taken) -> None:
        self.late_news += 1
        fields = {"MessageSid": text.sid, "MessageStatus": "sent", "ErrorCode": ""}
        self.gateway.callbacks.send(text.callback, fields, deliver=self.deliver)

    def deliver(self, url: str, fields: dict[str, str], signature: str) -> int:
        path = urlsplit(url)._replace(scheme="", netloc="").geturl()
        headers = {"X-Twilio-Signature": signature}
        return int(self.browser.post(path, fields, headers=headers).status_code)


def started(gateway: Gateway) -> tuple[Cast, Clinic]:
    """Everybody enrolled, on a program, and confirmed by their own answer."""
    cast = make_cast(EVENING)
    clinic = Clinic(gateway)
    with scope.within(cast.organization.id):
        for index in range(CLIENTS):
            client = enroll(
                cast.site,
                cast.clinician,
                now=EVENING,
                number=number(index),
                name=f"Client {index}",
            )
            prescribe(client, cast.clinician, now=EVENING, times_per_day=A_DAY)
    clinic.step()
    clinic.people_answer()
    planning.plan_all(clinic.now)
    clinic.step()
    return cast, clinic


@pytest.mark.timeout(600)
def test_a_day_of_five_hundred_clients_loses_and_doubles_nothing(
    transactional_db: None, gateway: Gateway, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(people, "NUMBER", "+12075550143")
    cast, clinic = started(gateway)
    while clinic.now < EVENING + timedelta(hours=24):
        clinic.now += timedelta(minutes=10)
        clinic.step()
        clinic.people_answer()
    clinic.step()
    with scope.within(cast.organization.id):
        assert_nothing_lost_or_doubled(gateway.ledger.taken, clinic)
        assert_every_reply_is_kept(clinic)
    assert set(gateway.callbacks.answers) == {200, 204}


def assert_nothing_lost_or_doubled(taken: list[Taken], clinic: Clinic) -> None:
    """The gateway's log and our rows name the same texts, each once."""
    logged = Counter(outbound_of(text) for text in taken)
    assert max(logged.values()) == 1
    due = Outbound.objects.filter(due_at__lte=clinic.now)
    rows = {str(row.id): row for row in due}
    assert set(logged) == set(rows)
    assert {row.state for row in rows.values()} == {"delivered"}
    for text in taken:
        row = rows[outbound_of(text)]
        assert (row.gateway_id, row.body) == (text.sid, text.body)
    reminders = [row for row in rows.values() if row.kind == "reminder"]
    assert len(reminders) == CLIENTS * A_DAY
    per_client = Counter(row.client_id for row in reminders)
    assert set(per_client.values()) == {A_DAY}
    heard = OutboundEvent.objects.filter(actor="callback").count()
    assert heard == len(rows) + clinic.late_news


def assert_every_reply_is_kept(clinic: Clinic) -> None:
    assert sorted(clinic.replied) == sorted(number(index) for index in range(CLIENTS))
    said_ok = CLIENTS + 1  # the client of the cast is enrolled, and on no program
    assert Inbound.objects.filter(state="read").count() == said_ok + CLIENTS
    assert Inbound.objects.exclude(state="read").count() == 0
    assert SessionReport.objects.count() == CLIENTS


def outbound_of(text: Taken) -> str:
    return parse_qs(urlsplit(text.callback).query)["outbound"][0]
