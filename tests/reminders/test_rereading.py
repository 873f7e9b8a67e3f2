"""Stored texts read again: shown first, accepted by a person, nothing texted."""

from __future__ import annotations

import json
from datetime import timedelta
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from clinic import access, audit, clock
from clinic.errors import Conflict
from clinic.models import Client
from programs.models import SessionReport
from reminders import alerting, reading, receiving, rereading
from reminders.logic.reply import Reply
from reminders.logic.reply.storage import to_json
from reminders.models import Inbound, Outbound, Rereading
from tests.cast import NOW, NUMBER, SENDING, Cast
from tests.journeys.day import Day

LATER = NOW + timedelta(days=1)


@pytest.fixture
def older(inside: Cast, running: Day, monkeypatch: pytest.MonkeyPatch) -> Any:
    """Takes a text in by a reader that understood nothing of it but the number."""

    def take(body: str, seen: Reply | None = None) -> Inbound:
        reply = seen or Reply(needs_human=True)
        with monkeypatch.context() as patch:
            patch.setattr(reading, "parse_reply", lambda *_, **__: reply)
            patch.setattr(receiving, "parse_reply", lambda *_, **__: reply)
            running.text(NUMBER, SENDING, body)
        return Inbound.objects.order_by("-id").first()

    return take


def found(cast: Cast) -> list[rereading.Change]:
    reached = access.clients(cast.clinician, "report.write")
    return list(rereading.changes(reached, NOW - timedelta(days=1), LATER))


def accept_all(cast: Cast) -> None:
    for change in found(cast):
        rereading.accept(change, by=cast.clinician, now=LATER)


def reports(client: Client, *, voided: bool) -> list[SessionReport]:
    rows = SessionReport.objects.filter(client=client, voided_at__isnull=not voided)
    return list(rows)


def test_looking_changes_nothing(cast: Cast, older: Any) -> None:
    inbound = older("done, pain 6, calf")
    (change,) = found(cast)
    assert change.inbound == inbound
    assert {"completion", "pain", "areas", "needs_human"} <= set(change.fields)
    inbound.refresh_from_db()
    assert inbound.reply == to_json(Reply(needs_human=True))
    assert not Rereading.objects.exists()


def test_an_accepted_reading_reports_and_keeps_the_old_one(
    cast: Cast, older: Any
) -> None:
    wrong = Reply(completion="done", pain=2.0)
    inbound = older("done, pain 6, calf", wrong)
    accept_all(cast)
    (old,) = reports(cast.client, voided=True)
    (new,) = reports(cast.client, voided=False)
    assert (old.pain, old.void_reason) == (2.0, rereading.REASON)
    assert (new.pain, new.areas, new.at) == (6.0, {"lower_leg": "present"}, old.at)
    kept = Rereading.objects.get(inbound=inbound)
    assert kept.before == to_json(wrong)
    inbound.refresh_from_db()
    assert inbound.reply == kept.after and inbound.reply["pain"] == 6.0
    assert found(cast) == []
    assert audit.verify(cast.organization)[1] is None


def test_a_sign_the_old_reader_missed_goes_to_a_person_and_texts_no_client(
    cast: Cast, older: Any
) -> None:
    older("numb between my legs since this morning and I can't pee")
    before = Outbound.objects.filter(client=cast.client).count()
    accept_all(cast)
    chain = alerting.open_chain(cast.client)
    assert chain is not None and chain.urgency == "emergency"
    assert {"saddle_numbness", "bladder_bowel"} <= alerting.open_reasons(chain)
    assert Outbound.objects.filter(client=cast.client).count() == before


def test_an_old_emergency_is_a_same_day_matter(cast: Cast, older: Any) -> None:
    older("can't pee since this morning")
    now = NOW + rereading.STILL_URGENT + timedelta(days=1)
    reached = access.clients(cast.clinician, "report.write")
    for change in rereading.changes(reached, NOW - timedelta(days=1), now):
        rereading.accept(change, by=cast.clinician, now=now)
    (entry,) = [
        each
        for each in alerting.open_chain(cast.client).reasons
        if each["reason"] == "bladder_bowel"
    ]
    assert entry["urgency"] == "same_day"


def test_an_opt_out_the_old_reader_missed_ends_the_texts(
    cast: Cast, older: Any
) -> None:
    phone = older("please stop texting me").phone
    assert phone.opted_out_at is None
    accept_all(cast)
    phone.refresh_from_db()
    assert phone.opted_out_at is not None


def test_a_reading_that_moved_meanwhile_is_not_overwritten(
    cast: Cast, older: Any
) -> None:
    older("done, pain 6, calf")
    (change,) = found(cast)
    rereading.accept(change, by=cast.clinician, now=LATER)
    with pytest.raises(Conflict):
        rereading.accept(change, by=cast.clinician, now=LATER)


def test_only_evidence_that_moves_is_no_change(inside: Cast, running: Day) -> None:
    running.text(NUMBER, SENDING, "done, pain 6, calf")
    inbound = Inbound.objects.order_by("-id").first()
    inbound.reply["evidence"] = {}
    inbound.save(update_fields=["reply"])
    assert found(inside) == []


def test_the_command_shows_and_only_accepts_by_a_person(
    cast: Cast, older: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(clock, "now", lambda: LATER)
    older("done, pain 6, calf")
    out, day = StringIO(), f"{NOW:%Y-%m-%d}"
    call_command("reread", since=day, stdout=out, stderr=StringIO())
    told = json.loads(out.getvalue())
    assert told["changes"]["pain"] == [None, 6.0] and "text" not in told
    assert not Rereading.objects.exists()
    with pytest.raises(CommandError, match="--by"):
        call_command("reread", since=day, accept=True)
    with pytest.raises(CommandError, match="clinician"):
        call_command("reread", since=day, accept=True, by=cast.desk.email)
    with pytest.raises(CommandError, match="2026-11-01"):
        call_command("reread", since="soon")
    call_command(
        "reread",
        since=day,
        accept=True,
        by=cast.clinician.email,
        stdout=StringIO(),
        stderr=StringIO(),
    )
    assert Rereading.objects.count() == 1


def test_another_sites_clinician_accepts_nothing_of_ours(
    cast: Cast, older: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(clock, "now", lambda: LATER)
    older("done, pain 6, calf")
    call_command(
        "reread",
        since=f"{NOW:%Y-%m-%d}",
        accept=True,
        by=cast.far_clinician.email,
        stdout=StringIO(),
        stderr=StringIO(),
    )
    assert not Rereading.objects.exists()
