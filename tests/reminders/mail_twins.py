"""Mail servers that misbehave in one known way each; Django loads them by path."""

from __future__ import annotations

from collections.abc import Sequence
from smtplib import SMTPDataError, SMTPRecipientsRefused, SMTPServerDisconnected
from typing import Any

from django.core.mail.backends.locmem import EmailBackend


class Away(EmailBackend):
    """Nothing listens."""

    def open(self) -> bool:
        raise ConnectionRefusedError


class Busy(EmailBackend):
    """Answers, and asks to come again (451)."""

    def send_messages(self, messages: Sequence[Any]) -> int:
        raise SMTPDataError(451, b"later")


class Strict(EmailBackend):
    """Knows no such person (550)."""

    def send_messages(self, messages: Sequence[Any]) -> int:
        raise SMTPRecipientsRefused({messages[0].to[0]: (550, b"no such user")})


class Vanishing(EmailBackend):
    """Takes the mail and is gone before it says so."""

    def send_messages(self, messages: Sequence[Any]) -> int:
        super().send_messages(messages)
        raise SMTPServerDisconnected("gone")
