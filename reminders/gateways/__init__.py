"""The gateway in use, by the setting SMS_GATEWAY."""

from __future__ import annotations

from functools import cache

from django.conf import settings

from reminders.gateways.base import Gateway


def current() -> Gateway:
    """The configured gateway; built once a process."""
    return _built(settings.SMS_GATEWAY)


@cache
def _built(name: str) -> Gateway:
    if name == "phones":
        from reminders.gateways.phones import Phones

        return Phones()
    if name == "twilio":
        from reminders.gateways.twilio import TwilioGateway

        return TwilioGateway.from_settings()
    from reminders.gateways.console import Console

    return Console()
