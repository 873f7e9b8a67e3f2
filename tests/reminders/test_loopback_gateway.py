"""The loopback gateway over real HTTP on both sides: texts out, signed news back in."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings as live

from clinic import scope
from reminders import sending
from reminders.gateways.twilio import TwilioGateway
from reminders.models import Inbound, Outbound, OutboundEvent
from tests.cast import NUMBER, SENDING, make_cast
from tests.gateway.callbacks import CallbackPlan
from tests.gateway.faults import Fault, Faults
from tests.gateway.server import Gateway


def until(condition: Callable[[], bool]) -> None:
    deadline = time.monotonic() + 20
    while not condition():
        assert time.monotonic() < deadline, "it did not happen within 20 s"
        time.sleep(0.05)


@pytest.mark.timeout(90)
def test_a_text_goes_out_and_its_news_and_a_reply_come_in_over_http(
    live_server: Any, settings: Any
) -> None:
    settings.PUBLIC_URL = "https://texts.example"  # what is signed, not where it runs
    plan = CallbackPlan(order=("delivered", "sent"), copies=2)
    gateway = Gateway(callback_base=live_server.url, background=True, plan=plan)
    with gateway:
        settings.TWILIO_ACCOUNT_SID = gateway.account
        settings.TWILIO_AUTH_TOKEN = gateway.token
        settings.TWILIO_API_BASE = gateway.base
        cast = make_cast()
        with scope.within(cast.organization.id):
            row = Outbound.objects.get(kind="welcome")
            sending.send_due(TwilioGateway.from_settings(), row.due_at)
            news = OutboundEvent.objects.filter(outbound=row, actor="callback")
            until(lambda: news.count() == 4)
            assert Outbound.objects.get(pk=row.pk).state == "delivered"
            url = f"{settings.PUBLIC_URL}/sms/inbound"
            assert gateway.callbacks.inbound(url, NUMBER, SENDING, "¿sí? ok") == 200
            assert Inbound.objects.get().body == "¿sí? ok"
    assert gateway.callbacks.answers == [204] * 4 + [200]


def test_faults_come_at_their_rate_and_alike_for_a_seed() -> None:
    def drawn(seed: int) -> list[Fault | None]:
        faults = Faults({Fault.TOO_MANY: 0.2, Fault.RESET: 0.1}, seed)
        return [faults.draw() for _ in range(2000)]

    assert drawn(1) == drawn(1) != drawn(2)
    assert 330 < drawn(1).count(Fault.TOO_MANY) < 470
    assert 140 < drawn(1).count(Fault.RESET) < 260


def test_the_accept_log_is_kept_on_disk_as_texts_are_taken(tmp_path: Path) -> None:
    log = tmp_path / "accepted.jsonl"
    gateway = Gateway(log=log)
    fields = {"To": NUMBER, "From": SENDING, "Body": "hello"}
    gateway.ledger.take(fields)
    gateway.ledger.take(fields)
    assert [line.count('"sid"') for line in log.read_text().splitlines()] == [1, 1]
    assert gateway.ledger.taken[0].at <= datetime.now(UTC)


@pytest.mark.timeout(60)
def test_it_runs_by_hand_and_says_how_to_reach_it() -> None:
    command = [sys.executable, "-m", "tests.gateway", "--port", "0"]
    process = subprocess.Popen(
        command, cwd=live.BASE_DIR, stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    try:
        assert process.stdout is not None
        said = [process.stdout.readline().decode() for _ in range(3)]
    finally:
        process.terminate()
        process.communicate(timeout=20)
    assert said[0].startswith("TWILIO_API_BASE=http://127.0.0.1:")
    assert said[1].startswith("TWILIO_ACCOUNT_SID=AC")
