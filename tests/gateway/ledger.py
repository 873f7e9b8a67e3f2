"""What the gateway took: its own log, the ground truth that tests compare with."""

from __future__ import annotations

import itertools
import json
import threading
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime
from pathlib import Path

# Documented test numbers of the gateway: what each refuses with (code, HTTP status).
REFUSED_TO = {
    "+15005550001": (21211, "The 'To' number is not a valid phone number."),
    "+15005550002": (21612, "The 'To' number is not reachable from this 'From'."),
    "+15005550003": (21408, "Permission to send to this region is not enabled."),
    "+15005550004": (21610, "Attempt to send to unsubscribed recipient"),
    "+15005550009": (21614, "'To' number is not a valid mobile number"),
}
REFUSED_FROM = {
    "+15005550001": (21212, "The 'From' number is not a valid phone number."),
    "+15005550007": (21606, "The 'From' number cannot send messages."),
    "+15005550008": (21611, "This 'From' number has too many messages queued."),
}


@dataclass(slots=True)
class Taken:
    """One text the gateway took; `status` is what its list says of it now."""

    sid: str
    to: str
    sender: str
    body: str
    callback: str
    validity: int | None
    at: datetime
    status: str = "queued"


@dataclass
class Ledger:
    """Every text taken, in order; safe to use from the server's threads."""

    path: Path | None = None
    taken: list[Taken] = field(default_factory=list)
    opted_out: set[str] = field(default_factory=set)
    _numbers: itertools.count[int] = field(default_factory=itertools.count)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def take(self, fields: dict[str, str]) -> Taken:
        """Log a text; from here on it counts as sent, whatever the caller learns."""
        with self._lock:
            text = Taken(
                sid=f"SM{next(self._numbers):032x}",
                to=fields["To"],
                sender=fields.get("From") or fields["MessagingServiceSid"],
                body=fields["Body"],
                callback=fields.get("StatusCallback", ""),
                validity=_number(fields.get("ValidityPeriod")),
                at=datetime.now(UTC),
                status="queued" if fields.get("From") else "accepted",
            )
            self.taken.append(text)
            self._write(text)
        return text

    def refusal(self, fields: dict[str, str]) -> tuple[int, str] | None:
        """The documented code and words for a text the gateway does not take."""
        to, sender = fields.get("To", ""), fields.get("From", "")
        if not to:
            return 21604, "A 'To' phone number is required."
        if not fields.get("Body"):
            return 21602, "Message body is required."
        if not sender and not fields.get("MessagingServiceSid"):
            return 21603, "A 'From' phone number is required."
        if len(fields["Body"]) > 1600:
            return 21617, "The concatenated message body exceeds 1600 characters."
        if to in self.opted_out:
            return REFUSED_TO["+15005550004"]
        return REFUSED_FROM.get(sender) or REFUSED_TO.get(to)

    def one(self, sid: str) -> Taken | None:
        return next((text for text in self.list() if text.sid == sid), None)

    def list(self, to: str = "", sender: str = "", since: str = "") -> list[Taken]:
        """Newest first, by the three filters the gateway offers."""
        with self._lock:
            texts = list(reversed(self.taken))
        return [
            text
            for text in texts
            if (not to or text.to == to)
            and (not sender or text.sender == sender)
            and (not since or text.at.replace(microsecond=0) >= _moment(since))
        ]

    def _write(self, text: Taken) -> None:
        if self.path is not None:
            with self.path.open("a") as file:
                file.write(json.dumps(asdict(text), default=str) + "\n")


def _moment(raw: str) -> datetime:
    at = datetime.fromisoformat(raw)
    return at if at.tzinfo else at.replace(tzinfo=UTC)


def _number(raw: str | None) -> int | None:
    return int(raw) if raw else None
