"""STOP while a hundred texts are being sent by two workers: none leaves afterwards."""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection

from clinic import access, scope
from clinic.logic.ids import new_id
from reminders import composing, outbox, sending
from reminders.gateways.base import Parcel, Receipt
from reminders.models import Outbound
from tests.cast import NOW, NUMBER, SENDING, Cast, make_cast
from tests.journeys.day import TOKEN, Day, Phones


@dataclass
class Slow:
    """A gateway that takes its time and notes when each call began."""

    calls: list[tuple[float, str]] = field(default_factory=list)

    def send(self, parcel: Parcel) -> Receipt:
        self.calls.append((time.monotonic(), parcel.body))
        time.sleep(0.02)
        return Receipt(f"GW-{new_id().hex}", "accepted")


def hundred_waiting(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        sending.send_due(Phones(), NOW)
        phone = access.current_number(cast.client)
        assert phone is not None
        text = composing.site_text("thanks_done", cast.site, "en")
        for index in range(100):
            outbox.put(text, key=f"t:{index}", phone=phone, now=NOW, client=cast.client)


@pytest.mark.timeout(120)
def test_after_the_answer_to_stop_only_the_confirmation_leaves(
    transactional_db: None, settings: Any
) -> None:
    settings.TWILIO_AUTH_TOKEN = TOKEN
    cast = make_cast()
    hundred_waiting(cast)
    gateway, day = Slow(), Day(NOW)

    def work() -> None:
        try:
            sending.send_due(gateway, NOW)
        finally:
            connection.close()

    workers = [threading.Thread(target=work) for _ in range(2)]
    for worker in workers:
        worker.start()
    while len(gateway.calls) < 10:
        time.sleep(0.005)
    fields = {"MessageSid": "SMstop", "From": NUMBER, "To": SENDING, "Body": "STOP"}
    assert day.post("/sms/inbound", fields).status_code == 200
    stopped = time.monotonic()
    for worker in workers:
        worker.join()
    sending.send_due(gateway, NOW + timedelta(minutes=1))
    after = [body for at, body in gateway.calls if at > stopped]
    assert 10 <= len(gateway.calls) < 100
    assert all("no more texts" in body for body in after)
    assert sum("no more texts" in body for _, body in gateway.calls) == 1
    with scope.within(cast.organization.id):
        rows = Outbound.objects.filter(key__startswith="t:")
        assert set(rows.values_list("state", flat=True)) == {"accepted", "cancelled"}
