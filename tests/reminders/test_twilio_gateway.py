"""The real client library against the loopback gateway: every answer it can give."""

from __future__ import annotations

import time
from collections.abc import Iterator
from typing import Any

import pytest
from twilio.base.exceptions import TwilioRestException

from reminders.gateways.base import Parcel, Refused
from reminders.gateways.twilio import TIMEOUT_SECONDS, TwilioGateway
from reminders.logic.delivery import reaction
from tests.gateway.faults import Fault
from tests.gateway.server import Gateway

OUTBOUND = "01935f3c-0000-7000-8000-000000000001"
TO, SENDER = "+12025550143", "+12025550100"


@pytest.fixture
def server(settings: Any) -> Iterator[Gateway]:
    with Gateway() as gateway:
        settings.TWILIO_ACCOUNT_SID = gateway.account
        settings.TWILIO_AUTH_TOKEN = gateway.token
        settings.TWILIO_API_BASE = gateway.base
        settings.TWILIO_MESSAGING_SERVICE_SID = ""
        settings.PUBLIC_URL = "https://texts.example"
        yield gateway


@pytest.fixture
def client(server: Gateway) -> TwilioGateway:
    return TwilioGateway.from_settings(timeout=0.5)


def parcel(**changes: Any) -> Parcel:
    values: dict[str, Any] = {
        "outbound_id": OUTBOUND,
        "to": TO,
        "sender": SENDER,
        "body": "Elm Row: how is it now?",
        "valid_seconds": 5400,
    }
    return Parcel(**(values | changes))


def refused(client: TwilioGateway, **changes: Any) -> Refused:
    with pytest.raises(Refused) as caught:
        client.send(parcel(**changes))
    return caught.value


def retry_of(error: Refused) -> str:
    return reaction(
        code=error.code, http_status=error.http_status, exception=error.kind
    ).retry


def test_a_text_is_taken_with_its_number_body_and_sender(
    server: Gateway, client: TwilioGateway
) -> None:
    receipt = client.send(parcel())
    taken = server.ledger.taken[0]
    assert receipt.gateway_id == taken.sid
    assert receipt.status == "queued"
    assert (taken.to, taken.sender) == (TO, SENDER)
    assert taken.body == "Elm Row: how is it now?"


def test_a_messaging_service_stands_in_for_the_sender(
    server: Gateway, settings: Any
) -> None:
    settings.TWILIO_MESSAGING_SERVICE_SID = "MG" + "0" * 32
    receipt = TwilioGateway.from_settings().send(parcel())
    assert receipt.status == "accepted"
    assert server.ledger.taken[0].sender == "MG" + "0" * 32


@pytest.mark.parametrize(
    "body",
    ["¿Cómo está? ñ é €", "Ça va mieux\u00a0?", "日本語 🙂", "a & b = c + d %20"],
)
def test_every_letter_arrives_as_it_was_written(
    server: Gateway, client: TwilioGateway, body: str
) -> None:
    client.send(parcel(body=body))
    assert server.ledger.taken[0].body == body


def test_the_callback_address_carries_our_id(
    server: Gateway, client: TwilioGateway
) -> None:
    client.send(parcel())
    assert server.ledger.taken[0].callback == (
        f"https://texts.example/sms/status?outbound={OUTBOUND}"
    )


@pytest.mark.parametrize(("worth", "told"), [(5400, 5400), (3, 60), (90_000, 36_000)])
def test_the_gateway_is_told_how_long_the_text_is_worth(
    server: Gateway, client: TwilioGateway, worth: int, told: int
) -> None:
    client.send(parcel(valid_seconds=worth))
    assert server.ledger.taken[0].validity == told


@pytest.mark.parametrize(
    ("to", "code"),
    [
        ("+15005550001", 21211),
        ("+15005550002", 21612),
        ("+15005550003", 21408),
        ("+15005550004", 21610),
        ("+15005550009", 21614),
    ],
)
def test_a_number_the_gateway_refuses_is_told_by_its_code(
    client: TwilioGateway, to: str, code: int
) -> None:
    error = refused(client, to=to)
    assert (error.code, error.http_status) == (code, 400)
    assert retry_of(error) == "no"


@pytest.mark.parametrize(
    ("sender", "code", "retry"),
    [
        ("+15005550001", 21212, "no"),
        ("+15005550007", 21606, "no"),
        ("+15005550008", 21611, "later"),
    ],
)
def test_a_sender_the_gateway_refuses_is_told_by_its_code(
    client: TwilioGateway, sender: str, code: int, retry: str
) -> None:
    error = refused(client, sender=sender)
    assert error.code == code
    assert retry_of(error) == retry


@pytest.mark.parametrize(
    ("fault", "retry", "taken"),
    [
        (Fault.TOO_MANY, "yes", 0),
        (Fault.UNAUTHORIZED, "no", 0),
        (Fault.HTML_500, "ambiguous", 0),
        (Fault.HTML_500_TAKEN, "ambiguous", 1),
        (Fault.HTML_503, "ambiguous", 0),
        (Fault.PROBLEM, "ambiguous", 0),
        (Fault.HANG, "ambiguous", 0),
        (Fault.HANG_TAKEN, "ambiguous", 1),
        (Fault.RESET, "ambiguous", 0),
        (Fault.RESET_TAKEN, "ambiguous", 1),
        (Fault.CUT_ANSWER, "ambiguous", 1),
        (Fault.NOT_JSON, "ambiguous", 1),
    ],
)
def test_each_fault_is_a_refusal_with_the_right_reaction(
    server: Gateway, client: TwilioGateway, fault: Fault, retry: str, taken: int
) -> None:
    server.faults.order(fault)
    assert retry_of(refused(client)) == retry
    assert len(server.ledger.taken) == taken


def test_a_gateway_that_is_not_there_never_had_the_text(
    server: Gateway, client: TwilioGateway
) -> None:
    server.stop()
    error = refused(client)
    assert error.kind == "connection_refused"
    assert retry_of(error) == "yes"


def test_a_gateway_that_hangs_is_left_after_the_timeout(
    server: Gateway, client: TwilioGateway
) -> None:
    server.faults.order(Fault.HANG)
    started = time.monotonic()
    assert refused(client).kind == "read_timeout"
    assert time.monotonic() - started < 5


def test_the_timeout_is_set_when_nothing_is_said(server: Gateway) -> None:
    client = TwilioGateway.from_settings().client
    assert client.http_client.timeout == TIMEOUT_SECONDS


def test_a_refusal_says_nothing_of_the_number_or_the_body(
    client: TwilioGateway,
) -> None:
    words = str(refused(client, to="+15005550001"))
    assert "5550001" not in words
    assert "how is it" not in words


def test_a_proxy_of_the_machine_is_not_asked_about_loopback(
    server: Gateway, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("http_proxy", "HTTP_PROXY", "all_proxy", "ALL_PROXY"):
        monkeypatch.setenv(name, "http://127.0.0.1:9")
    monkeypatch.delenv("no_proxy", raising=False)
    monkeypatch.delenv("NO_PROXY", raising=False)
    TwilioGateway.from_settings(timeout=0.5).send(parcel())
    assert len(server.ledger.taken) == 1


def test_the_wrong_token_is_refused_at_the_door(server: Gateway, settings: Any) -> None:
    settings.TWILIO_AUTH_TOKEN = "another"
    error = refused(TwilioGateway.from_settings(timeout=0.5))
    assert (error.code, error.http_status) == (20003, 401)


def test_a_text_can_be_looked_up_by_number_sender_and_id(
    server: Gateway, client: TwilioGateway
) -> None:
    receipt = client.send(parcel())
    client.send(parcel(to="+12125550117"))
    messages = client.client.messages
    found = messages.list(
        to=TO, from_=SENDER, date_sent_after=server.ledger.taken[0].at
    )
    assert [each.sid for each in found] == [receipt.gateway_id]
    assert messages(receipt.gateway_id).fetch().to == TO
    with pytest.raises(TwilioRestException) as missing:
        messages("SM" + "f" * 32).fetch()
    assert missing.value.code == 20404
