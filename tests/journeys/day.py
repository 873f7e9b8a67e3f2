"""A simulated day: the clock moves, the tasks run, texts go out and come in."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import count
from typing import Any

import time_machine
from django.conf import settings
from django.test import Client as Browser
from twilio.request_validator import RequestValidator

from reminders import escalating, mailing, planning, receiving, sending, watching
from reminders.gateways.base import Parcel, Receipt

TOKEN = "a-test-token"


@dataclass
class Phones:
    """A gateway that keeps every text it took."""

    taken: list[Parcel] = field(default_factory=list)
    numbers: Any = field(default_factory=lambda: count(1))

    def send(self, parcel: Parcel) -> Receipt:
        self.taken.append(parcel)
        return Receipt(f"GW{next(self.numbers):06d}", "delivered")

    def to(self, number: str) -> list[str]:
        return [parcel.body for parcel in self.taken if parcel.to == number]


@dataclass
class Day:
    """Time that the test moves, with the service's own tasks running in it."""

    now: datetime
    phones: Phones = field(default_factory=Phones)
    sids: Any = field(default_factory=lambda: count(1))

    def forward(self, **by: float) -> Day:
        """Let time pass in steps, as the workers would see it; longer in long waits."""
        end = self.now + timedelta(**by)
        hours = (end - self.now) / timedelta(hours=1)
        step = timedelta(minutes=10 if hours <= 6 else 30 if hours <= 20 else 60)
        while self.now < end:
            self.now = min(self.now + step, end)
            self.work()
        return self

    def jump(self, **by: float) -> Day:
        """Move the clock at once; texts that fell due meanwhile are too late."""
        self.now += timedelta(**by)
        self.work()
        return self

    def work(self) -> None:
        planning.plan_all(self.now)
        receiving.sweep(self.now)
        sending.expire_and_release(self.now)
        watching.watch(self.now)
        escalating.walk(self.now)
        sending.send_due(self.phones, self.now)
        mailing.send_due(self.now)

    def text(self, number: str, to: str, body: str, **fields: str) -> Any:
        """A client's text through the signed webhook; then the sender runs."""
        data = {
            "MessageSid": f"SM{next(self.sids):08d}",
            "From": number,
            "To": to,
            "Body": body,
            "NumMedia": "0",
        } | fields
        response = self.post("/sms/inbound", data)
        sending.send_due(self.phones, self.now)
        mailing.send_due(self.now)
        return response

    def post(self, path: str, data: dict[str, str], *, token: str = TOKEN) -> Any:
        """A signed webhook call at the day's time."""
        url = f"{settings.PUBLIC_URL}{path}"
        signature = RequestValidator(token).compute_signature(url, data)
        with time_machine.travel(self.now, tick=False):
            return Browser().post(path, data, headers={"X-Twilio-Signature": signature})
