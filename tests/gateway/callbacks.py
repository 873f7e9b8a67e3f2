"""Signed webhooks from the gateway to the service: status news, and texts in."""

from __future__ import annotations

import itertools
import random
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from urllib.parse import urlencode, urlsplit, urlunsplit

import requests
from twilio.request_validator import RequestValidator

from tests.gateway.ledger import Taken

Deliver = Callable[[str, dict[str, str], str], int]
"""(url as signed, form fields, signature) -> HTTP status of the answer."""


@dataclass(frozen=True, slots=True)
class Callback:
    """One status webhook that waits to be sent."""

    url: str
    fields: dict[str, str]


@dataclass
class CallbackPlan:
    """Which callbacks a text gets, in which order, how often, how late.

    `order`: the states in the order in which they arrive; `copies`: how often each
    comes; `lost`: the share that never comes; `shuffle`: mix the waiting ones.
    """

    order: tuple[str, ...] = ("sent", "delivered")
    copies: int = 1
    lost: float = 0.0
    delay: float = 0.0
    shuffle: bool = False
    seed: int = 0
    error_code: str = ""

    def __post_init__(self) -> None:
        self.random = random.Random(self.seed)


@dataclass
class Callbacks:
    """The waiting callbacks, and how they are signed and sent."""

    account: str
    token: str
    base: str = ""
    plan: CallbackPlan = field(default_factory=CallbackPlan)
    waiting: list[Callback] = field(default_factory=list)
    answers: list[int] = field(default_factory=list)
    _lock: threading.Lock = field(default_factory=threading.Lock)
    _sids: itertools.count[int] = field(default_factory=itertools.count)

    def expect(self, text: Taken) -> None:
        """Queue the callbacks of a text that was just taken."""
        if not text.callback:
            return
        for status in self.plan.order:
            for _ in range(self.plan.copies):
                if self.plan.random.random() >= self.plan.lost:
                    callback = Callback(text.callback, self._status(text, status))
                    with self._lock:
                        self.waiting.append(callback)

    def pump(self, deliver: Deliver | None = None) -> int:
        """Send every waiting callback now; returns how many."""
        with self._lock:
            batch, self.waiting = self.waiting, []
        if self.plan.shuffle:
            self.plan.random.shuffle(batch)
        for callback in batch:
            self.send(callback.url, callback.fields, deliver=deliver)
        return len(batch)

    def send(
        self, url: str, fields: dict[str, str], *, deliver: Deliver | None = None
    ) -> int:
        """Sign over the address the service knows itself by, and post."""
        signature = RequestValidator(self.token).compute_signature(url, fields)
        status = (deliver or self._post)(url, fields, signature)
        self.answers.append(status)
        return status

    def inbound(
        self,
        url: str,
        sender: str,
        to: str,
        body: str,
        *,
        sid: str = "",
        deliver: Deliver | None = None,
    ) -> int:
        """A text from a person, passed on to the service."""
        sid = sid or f"SMin{next(self._sids):030x}"
        fields = {
            "MessageSid": sid,
            "SmsSid": sid,
            "SmsMessageSid": sid,
            "AccountSid": self.account,
            "From": sender,
            "To": to,
            "Body": body,
            "NumMedia": "0",
            "NumSegments": "1",
            "SmsStatus": "received",
            "ApiVersion": "2010-04-01",
            "FromCity": "",
        }
        return self.send(url, fields, deliver=deliver)

    def run(self, stopping: threading.Event) -> None:
        """Send callbacks as they come, until told to stop (a thread's body)."""
        while not stopping.wait(0.02):
            if self.waiting:
                time.sleep(self.plan.delay)
                self.pump()

    def _status(self, text: Taken, status: str) -> dict[str, str]:
        failed = status in ("failed", "undelivered")
        code = {"ErrorCode": self.plan.error_code or "30008"} if failed else {}
        return {
            "MessageSid": text.sid,
            "SmsSid": text.sid,
            "MessageStatus": status,
            "SmsStatus": status,
            "AccountSid": self.account,
            "From": text.sender,
            "To": text.to,
            "ApiVersion": "2010-04-01",
        } | code

    def _post(self, url: str, fields: dict[str, str], signature: str) -> int:
        with requests.Session() as session:
            session.trust_env = False  # a proxy of this machine is not for loopback
            answer = session.post(
                self._address(url),
                data=urlencode(fields),
                headers={
                    "X-Twilio-Signature": signature,
                    "Content-Type": "application/x-www-form-urlencoded",
                },
                timeout=15,
            )
        return answer.status_code

    def _address(self, url: str) -> str:
        """Where the post really goes: the public address may be a proxy's."""
        if not self.base:
            return url
        base, asked = urlsplit(self.base), urlsplit(url)
        return urlunsplit((base.scheme, base.netloc, asked.path, asked.query, ""))
