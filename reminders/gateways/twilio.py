"""The real gateway through its client library, also against a loopback base address.

The library's own defaults are wrong for us: no timeout, raw network errors, and an
exception family of its own for problem answers. All three are closed here.
"""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode, urlsplit

from django.conf import settings

from reminders.gateways.base import Parcel, Receipt, Refused

TIMEOUT_SECONDS = 10
_LONGEST_VALIDITY = 36_000
_LOOPBACK = ("127.0.0.1", "localhost", "::1")


class TwilioGateway:
    """Creates one message a text; our id travels in the callback address."""

    def __init__(self, client: Any, service: str, callback: str) -> None:
        self.client = client
        self.service = service
        self.callback = callback

    @classmethod
    def from_settings(cls, timeout: float = TIMEOUT_SECONDS) -> TwilioGateway:
        from twilio.http.http_client import TwilioHttpClient
        from twilio.rest import Client

        http = TwilioHttpClient(timeout=timeout)
        client = Client(
            settings.TWILIO_ACCOUNT_SID,
            settings.TWILIO_AUTH_TOKEN,
            http_client=http,
        )
        if settings.TWILIO_API_BASE:
            client.api.base_url = settings.TWILIO_API_BASE.rstrip("/")
            # A proxy of this machine knows nothing of our loopback.
            loopback = urlsplit(settings.TWILIO_API_BASE).hostname in _LOOPBACK
            http.session.trust_env = not loopback
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
        except network.RequestException as error:
            # The answer broke off in the middle: the text may well be created.
            raise Refused(kind="connection_reset") from error
        except TwilioException as error:
            raise _refusal(error) from error
        except (ValueError, KeyError, TypeError) as error:
            # A success that is no JSON: somebody answered for the gateway.
            raise Refused(kind="unreadable_answer") from error
        if not message.sid:
            raise Refused(kind="unreadable_answer")
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
