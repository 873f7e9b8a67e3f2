"""Delivery news: any order, any number of times, early, late, or about nobody."""

from __future__ import annotations

from itertools import permutations
from typing import Any
from uuid import uuid4

import pytest

from clinic import access
from clinic.logic.ids import new_id
from reminders import composing, conversation, delivering, outbox, sending
from reminders.gateways.base import Parcel, Receipt
from reminders.models import DeskTask, Outbound, OutboundEvent
from tests.cast import NOW, Cast
from tests.journeys.day import Phones

SID = "SM" + "a" * 32


class Accepts:
    """Takes every text, and may tell of it before the create answer is recorded."""

    def __init__(self, *early: str) -> None:
        self.early = early

    def send(self, parcel: Parcel) -> Receipt:
        for status in self.early:
            tell(status, outbound=parcel.outbound_id)
        return Receipt(SID, "queued")


def tell(status: str, *, outbound: Any = None, sid: str = SID, code: str = "") -> bool:
    return delivering.apply_status(
        gateway_id=sid,
        outbound_id=outbound,
        status=status,
        error_code=code,
        now=NOW,
    )


@pytest.fixture
def row(inside: Cast) -> Any:
    sending.send_due(Phones(), NOW)
    phone = access.current_number(inside.client)
    assert phone is not None
    text = composing.site_text("ask_reach", inside.site, "en")
    return outbox.put(
        text, key=f"t:{new_id()}", phone=phone, now=NOW, client=inside.client
    )


def fresh(row: Any) -> Any:
    return Outbound.objects.get(pk=row.pk)


def joined(order: tuple[str, ...]) -> str:
    return "-".join(order)


NEWS = ("queued", "sending", "sent", "delivered")


@pytest.mark.parametrize("order", list(permutations(NEWS)), ids=joined)
def test_any_order_of_the_same_news_ends_alike(
    row: Any, order: tuple[str, ...]
) -> None:
    sending.send_due(Accepts(), NOW)
    for status in order:
        tell(status)
    assert fresh(row).state == "delivered"


@pytest.mark.parametrize("order", list(permutations(NEWS)), ids=joined)
@pytest.mark.parametrize("early", (1, 2, 4), ids=str)
def test_news_before_the_create_answer_ends_alike(
    row: Any, order: tuple[str, ...], early: int
) -> None:
    sending.send_due(Accepts(*order[:early]), NOW)
    for status in order[early:]:
        tell(status)
    found = fresh(row)
    assert (found.state, found.gateway_id, found.sent_at) == ("delivered", SID, NOW)


@pytest.mark.parametrize(
    "order", list(permutations(("sent", "undelivered"))), ids=joined
)
def test_undelivered_stands_whatever_comes_around_it(
    row: Any, order: tuple[str, ...]
) -> None:
    sending.send_due(Accepts(), NOW)
    for status in order:
        tell(status, code="30005" if status == "undelivered" else "")
    assert fresh(row).state == "undelivered"
    assert fresh(row).error_code == "30005"


def test_repeated_news_changes_nothing_but_is_kept(row: Any) -> None:
    sending.send_due(Accepts(), NOW)
    for _ in range(3):
        tell("delivered")
    assert fresh(row).state == "delivered"
    events = OutboundEvent.objects.filter(outbound=row, actor="callback")
    assert events.count() == 3


def test_a_reply_is_read_as_the_answer_to_a_text_known_only_by_its_callback(
    row: Any, inside: Cast
) -> None:
    """The worker died after the call: the callback says that the text was there."""
    sending.claim(NOW)
    tell("delivered", outbound=row.id)
    assert fresh(row).sent_at == NOW
    assert conversation.open_ask_back(inside.client, NOW) == "reach"


def test_our_id_finds_a_text_whose_create_answer_was_lost(row: Any) -> None:
    sending.claim(NOW)
    sending.expire_and_release(NOW + sending.LEASE * 2)
    assert fresh(row).state == "unknown"
    assert tell("sent", outbound=row.id)
    assert (fresh(row).state, fresh(row).gateway_id) == ("sent", SID)


def test_news_of_another_message_does_not_touch_the_text(row: Any) -> None:
    sending.send_due(Accepts(), NOW)
    assert not tell("failed", outbound=row.id, sid="SM" + "b" * 32)
    assert fresh(row).state == "accepted"


def test_news_of_a_text_nobody_knows_is_harmless(inside: Cast) -> None:
    assert not tell("delivered", sid="SMnobody")
    assert not tell("delivered", sid="SMnobody", outbound=uuid4())
    assert OutboundEvent.objects.filter(actor="callback").count() == 0


def test_news_without_a_message_id_is_harmless(row: Any) -> None:
    assert not tell("delivered", sid="", outbound=row.id)
    assert fresh(row).gateway_id is None


@pytest.mark.parametrize("word", ["", "teleported", "DELIVERED "])
def test_a_word_not_known_here_moves_nothing_back(row: Any, word: str) -> None:
    sending.send_due(Accepts(), NOW)
    tell("sent")
    tell(word)
    assert fresh(row).state in ("sent", "delivered")


@pytest.mark.parametrize("code", ["", "x", "²", "9" * 5000])
def test_an_odd_error_code_is_no_error_here(row: Any, code: str) -> None:
    sending.send_due(Accepts(), NOW)
    assert tell("failed", code=code)
    assert fresh(row).state == "failed"


@pytest.mark.parametrize("code", ["30003", "30005", "30006"])
def test_a_number_that_cannot_be_reached_is_told_once(
    row: Any, inside: Cast, code: str
) -> None:
    sending.send_due(Accepts(), NOW)
    for _ in range(2):
        tell("undelivered", code=code)
    assert DeskTask.objects.filter(code="number_failed").count() == 1
    alert = inside.client.alerts.get()
    assert [entry["reason"] for entry in alert.reasons] == ["undelivered"]


def test_an_opt_out_told_by_callback_is_recorded(row: Any, inside: Cast) -> None:
    sending.send_due(Accepts(), NOW)
    tell("failed", code="21610")
    inside.client.refresh_from_db()
    assert inside.client.ended_reason == "opted_out"
