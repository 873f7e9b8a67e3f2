"""What every gateway does: take one text, or say plainly that it did not."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True, slots=True)
class Parcel:
    """One text on its way: our id, both numbers, the body, how long it is worth."""

    outbound_id: str
    to: str
    sender: str
    body: str
    valid_seconds: int


@dataclass(frozen=True, slots=True)
class Receipt:
    """The gateway took the text: its id, and the first state it names."""

    gateway_id: str
    status: str = "accepted"


class Refused(Exception):
    """The gateway did not take the text, or nobody knows whether it did.

    `code` is the gateway's error code, `http_status` its answer, `kind` the kind of
    a network failure; `reminders.logic.delivery.reaction` says what each means.
    """

    def __init__(
        self,
        *,
        code: int | None = None,
        http_status: int | None = None,
        kind: str | None = None,
    ) -> None:
        super().__init__(str(kind or code or http_status))
        self.code = code
        self.http_status = http_status
        self.kind = kind


class Gateway(Protocol):
    """The interface; raises Refused. No call may take longer than its timeout."""

    def send(self, parcel: Parcel) -> Receipt: ...
