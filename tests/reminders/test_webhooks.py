"""The gateway's webhooks: signed or nothing; odd content is never an error."""

from __future__ import annotations

import threading
from typing import Any

import pytest
from django.conf import settings as live
from django.db import connection
from django.test import Client as Browser
from twilio.request_validator import RequestValidator

from clinic import scope
from clinic.logic.ids import new_id
from programs.models import SessionReport
from reminders.models import DeskTask, Inbound, Outbound, OutboundEvent
from tests.cast import NUMBER, SENDING, Cast, make_cast, prescribe
from tests.journeys.day import TOKEN, Day

INBOUND, STATUS = "/sms/inbound", "/sms/status"
FIELDS = {"MessageSid": "SM1", "From": NUMBER, "To": SENDING, "Body": "done 3"}


def signature(path: str, fields: dict[str, str], *, token: str = TOKEN) -> str:
    url = f"{live.PUBLIC_URL}{path}"
    return str(RequestValidator(token).compute_signature(url, fields))


def post(path: str, fields: dict[str, str], signed: str | None) -> int:
    headers = {} if signed is None else {"X-Twilio-Signature": signed}
    return int(Browser().post(path, fields, headers=headers).status_code)


def signed_post(path: str, fields: dict[str, str]) -> int:
    return post(path, fields, signature(path, fields))


def kept() -> int:
    return Inbound.objects.across("the test counts").count()


def bad_signatures() -> dict[str, str | None]:
    good = signature(INBOUND, FIELDS)
    return {
        "missing": None,
        "empty": "",
        "junk": "not base64 at all \u00e9",
        "cut": good[:-1],
        "another key": signature(INBOUND, FIELDS, token="another"),
        "an empty key": signature(INBOUND, FIELDS, token=""),
        "another address": signature(STATUS, FIELDS),
        "another body": signature(INBOUND, FIELDS | {"Body": "STOP"}),
        "a field less": signature(INBOUND, {"MessageSid": "SM1"}),
    }


@pytest.mark.parametrize("kind", list(bad_signatures()))
def test_an_unsigned_text_is_refused_and_nothing_is_kept(cast: Cast, kind: str) -> None:
    assert post(INBOUND, FIELDS, bad_signatures()[kind]) == 403
    assert kept() == 0


def test_a_signed_text_with_a_field_changed_on_the_way_is_refused(cast: Cast) -> None:
    signed = signature(INBOUND, FIELDS)
    assert post(INBOUND, FIELDS | {"From": "+12025550144"}, signed) == 403
    assert post(INBOUND, FIELDS | {"Extra": "1"}, signed) == 403
    assert kept() == 0


def test_unsigned_delivery_news_changes_nothing(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        row = Outbound.objects.get(kind="welcome")
        path = f"{STATUS}?outbound={row.id}"
        fields = {"MessageSid": "SM1", "MessageStatus": "delivered"}
        assert post(path, fields, None) == 403
        assert post(path, fields, signature(STATUS, fields)) == 403
        assert Outbound.objects.get(pk=row.pk).state == "pending"
        assert post(path, fields, signature(path, fields)) == 204
        assert Outbound.objects.get(pk=row.pk).state == "delivered"


def test_the_token_before_the_last_change_still_signs(
    cast: Cast, settings: Any
) -> None:
    settings.TWILIO_AUTH_TOKEN, settings.TWILIO_AUTH_TOKEN_OLD = "new", TOKEN
    assert signed_post(INBOUND, FIELDS) == 200


def test_with_no_token_set_nothing_counts_as_signed(cast: Cast, settings: Any) -> None:
    settings.TWILIO_AUTH_TOKEN = settings.TWILIO_AUTH_TOKEN_OLD = ""
    assert post(INBOUND, FIELDS, signature(INBOUND, FIELDS, token="")) == 403


def test_the_public_address_is_signed_whatever_a_proxy_shows(
    cast: Cast, settings: Any
) -> None:
    settings.PUBLIC_URL = "https://texts.example"
    assert signed_post(INBOUND, FIELDS) == 200


def test_only_posts_are_taken(cast: Cast) -> None:
    assert Browser().get(INBOUND).status_code == 405
    assert Browser().get(STATUS).status_code == 405


def test_a_text_without_a_message_id_is_told_so(cast: Cast) -> None:
    assert signed_post(INBOUND, FIELDS | {"MessageSid": ""}) == 400
    assert kept() == 0


@pytest.mark.parametrize(
    "body",
    [
        "done\u0000 3\u0000",
        "",
        " ",
        "\u202edone 3\u202c",
        "d\u200bo\u200dn\ufeffe 3",
        "e" + "\u0301" * 800,
        "\U0001f642" * 300,
        "x" * 10_000,
        "3 " * 5_000,
        "9" * 10_000,
        "\uffff\ufffe",
        "'; DROP TABLE clients; --",
        "<script>alert(1)</script>",
        "%s %d {0} {{x}}",
    ],
)
def test_any_text_is_kept_and_read(cast: Cast, body: str) -> None:
    fields = FIELDS | {"Body": body}
    assert signed_post(INBOUND, fields) == 200
    row = Inbound.objects.across("the test looks").get()
    assert row.body == body.replace("\x00", "")
    assert row.state == "read"


def test_halves_of_characters_are_kept_as_question_marks(cast: Cast) -> None:
    from reminders import receiving

    body = "done \ud83d 3 \udc00"
    arrival = receiving.Arrival("SM1", NUMBER, SENDING, body)
    row = receiving.arrive(arrival, Day(cast.client.created_at).now)
    assert (row.body, row.state) == ("done ? 3 ?", "read")


@pytest.mark.parametrize("field", ["MessageSid", "From", "To"])
def test_odd_numbers_and_ids_are_no_error(cast: Cast, field: str) -> None:
    odd = "A\u0000\U0001f642" + "z" * 300
    assert signed_post(INBOUND, FIELDS | {field: odd}) == 200
    assert kept() == 1


@pytest.mark.parametrize("field", ["MessageSid", "MessageStatus", "ErrorCode"])
def test_odd_delivery_news_is_no_error(cast: Cast, field: str) -> None:
    with scope.within(cast.organization.id):
        row = Outbound.objects.get(kind="welcome")
    odd = "A\u0000\U0001f642" + "z" * 300
    fields = {"MessageSid": "SM9", "MessageStatus": "failed", "ErrorCode": "30008"}
    assert signed_post(f"{STATUS}?outbound={row.id}", fields | {field: odd}) == 204


@pytest.mark.parametrize(
    "query", ["", "?outbound=", "?outbound=x", "?outbound=1&outbound=2"]
)
def test_news_of_no_text_of_ours_is_harmless(cast: Cast, query: str) -> None:
    fields = {"MessageSid": "SMother", "MessageStatus": "delivered"}
    assert signed_post(f"{STATUS}{query}", fields) == 204
    events = OutboundEvent.objects.across("the test counts")
    assert events.filter(actor="callback").count() == 0


def test_known_and_unknown_numbers_are_answered_alike(cast: Cast) -> None:
    answers = []
    for sender, to in ((NUMBER, SENDING), ("+12025550177", SENDING), (NUMBER, "+1202")):
        fields = FIELDS | {"MessageSid": f"SM{new_id()}", "From": sender, "To": to}
        headers = {"X-Twilio-Signature": signature(INBOUND, fields)}
        answer = Browser().post(INBOUND, fields, headers=headers)
        answers.append((answer.status_code, answer.content, answer["Content-Type"]))
    assert len(set(answers)) == 1


@pytest.mark.timeout(240)
def test_fifty_posts_of_one_message_at_once_are_one_text(
    transactional_db: None, settings: Any
) -> None:
    cast = make_cast()
    prescribe(cast.client, cast.clinician)
    with scope.within(cast.organization.id):
        signed_post(INBOUND, FIELDS | {"MessageSid": "SMok", "Body": "ok"})
    answers: list[int] = []
    ready = threading.Barrier(50)

    def deliver() -> None:
        try:
            ready.wait(60)
            answers.append(signed_post(INBOUND, FIELDS))
        finally:
            connection.close()

    threads = [threading.Thread(target=deliver) for _ in range(50)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert answers == [200] * 50
    with scope.within(cast.organization.id):
        row = Inbound.objects.get(gateway_id="SM1")
        assert row.state == "read"
        assert SessionReport.objects.filter(key=f"text:{row.id}").count() == 1
        assert Outbound.objects.filter(key=f"rep:{row.id}").count() == 1
        assert DeskTask.objects.count() == 0
