"""The real gateway through its client library, also against a loopback base address.

The library's own defaults are wrong for us: no timeout, raw network errors, and an
exception family of its own for problem answers. All three are closed here.
"""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.conf import settings

from reminders.gateways.base import Parcel, Receipt, Refused

TIMEOUT_SECONDS = 10
_LONGEST_VALIDITY = 36_000


class TwilioGateway:
    """Creates one message a text; our id travels in the callback address."""

    def __init__(self, client: Any, service: str, callback: str) -> None:
        self.client = client
        self.service = service
        self.callback = callback

    @classmethod
    def from_settings(cls) -> TwilioGateway:
        from twilio.http.http_client import TwilioHttpClient
        from twilio.rest import Client

        client = Client(
            settings.TWILIO_ACCOUNT_SID,
            settings.TWILIO_AUTH_TOKEN,
            http_client=TwilioHttpClient(timeout=TIMEOUT_SECONDS),
        )
        if settings.TWILIO_API_BASE:
            client.api.base_url = settings.TWILIO_API_BASE.rstrip("/")
        return cls(
            client,
            settings.TWILIO_MESSAGING_SERVICE_SID,
            f"{settings.PUBLIC_URL}/sms/status",
        )

    def send(self, parcel: Parcel) -> Receipt:
        from requests import exceptions as network
        from twilio.base.exceptions import TwilioException

        try:
            message = self.client.messages.create(**self._fields(parcel))
        except network.ConnectTimeout as error:
            raise Refused(kind="connect_timeout") from error
        except network.Timeout as error:
            raise Refused(kind="read_timeout") from error
        except network.ConnectionError as error:
            raise Refused(kind=_connection_kind(error)) from error
        except TwilioException as error:
            raise _refusal(error) from error
        return Receipt(message.sid, message.status or "accepted")

    def _fields(self, parcel: Parcel) -> dict[str, Any]:
        query = urlencode({"outbound": parcel.outbound_id})
        fields: dict[str, Any] = {
            "to": parcel.to,
            "body": parcel.body,
            "status_callback": f"{self.callback}?{query}",
            "validity_period": max(60, min(parcel.valid_seconds, _LONGEST_VALIDITY)),
        }
        if self.service:
            return fields | {"messaging_service_sid": self.service}
        return fields | {"from_": parcel.sender}


def _refusal(error: Exception) -> Refused:
    code = getattr(error, "code", None)
    status = getattr(error, "status", None) or getattr(error, "status_code", None)
    if code is None and status is None:
        return Refused(kind="unreadable_answer")
    return Refused(code=code, http_status=status)


def _connection_kind(error: Exception) -> str:
    """A refused connection never reached the gateway; a broken one may."""
    words = str(error)
    never = ("NewConnectionError", "Connection refused", "not known")
    if any(each in words for each in never):
        return "connection_refused"
    return "connection_reset"
