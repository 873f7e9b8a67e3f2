"""The outbox: a text is a row of the commit that wants it, once a key."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import transaction

from clinic import access
from clinic.models import OnCallEntry
from reminders import composing, outbox, sending
from reminders.logic import wording
from reminders.models import Outbound
from reminders.signals import text_waiting
from tests.cast import NOW, Cast
from tests.journeys.day import Phones


def put(cast: Cast, key: str = "t:1", kind: str = "thanks_done", **more: Any) -> Any:
    phone = access.current_number(cast.client)
    assert phone is not None
    text = composing.site_text(kind, cast.site, "en")
    return outbox.put(text, key=key, phone=phone, now=NOW, client=cast.client, **more)


def test_a_key_has_one_text_for_ever(inside: Cast) -> None:
    assert put(inside) is not None
    assert put(inside, kind="help") is None
    assert Outbound.objects.get(key="t:1").kind == "thanks_done"


def test_a_key_that_is_taken_does_not_spoil_the_transaction(inside: Cast) -> None:
    put(inside)
    with transaction.atomic():
        put(inside)
        put(inside, key="t:2")
    assert Outbound.objects.filter(key="t:2").exists()


def test_a_text_goes_with_the_transaction_that_wanted_it(inside: Cast) -> None:
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        put(inside)
        raise ZeroDivisionError
    assert not Outbound.objects.filter(key="t:1").exists()


def test_the_sender_is_woken_after_the_commit_only(
    inside: Cast, django_capture_on_commit_callbacks: Any
) -> None:
    woken: list[object] = []

    def wake(sender: object, **_: Any) -> None:
        woken.append(sender)

    text_waiting.connect(wake)
    try:
        with django_capture_on_commit_callbacks(execute=True):
            put(inside)
            assert woken == []
        assert woken == [Outbound]
    finally:
        text_waiting.disconnect(wake)


def test_a_text_keeps_its_words_encrypted_and_its_parts_counted(inside: Cast) -> None:
    row = put(inside, kind="help")
    assert row.parts == 2
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("SELECT body FROM reminders_outbound WHERE key = 't:1'")
        stored = cursor.fetchone()[0]
    assert "HELP" not in stored
    assert "exercises" not in stored
    assert Outbound.objects.get(key="t:1").body == row.body


def test_taking_texts_back_leaves_those_that_left(inside: Cast) -> None:
    phones = Phones()
    sending.send_due(phones, NOW)
    left = put(inside, key="t:left")
    sending.send_due(phones, NOW)
    waiting = put(inside, key="t:waiting")
    assert outbox.cancel_pending(left.phone, now=NOW, why="opted_out") == 1
    states = Outbound.objects.filter(pk__in=(left.pk, waiting.pk)).order_by("key")
    assert list(states.values_list("state", "error_code")) == [
        ("delivered", ""),
        ("cancelled", "opted_out"),
    ]


def test_a_page_to_staff_reaches_no_client(inside: Cast) -> None:
    entry = OnCallEntry.objects.filter(site=inside.site)[0]
    values = {"site": "Elm Row", "url": "http://127.0.0.1/triage"}
    text = wording.render(kind="staff_page", language="en", **values)
    row = outbox.page_staff(text, entry, key="page:1", now=NOW)
    assert row is not None
    assert (row.client, row.phone, row.staff) == (None, None, entry.staff)
    assert row.staff_number == "+12025550191"
    assert row.priority == outbox.SAFETY_PRIORITY
