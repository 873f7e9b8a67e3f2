"""Sending: once or not at all, never after an opt-out, never blindly again."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

import pytest

from clinic import access, consenting
from clinic.logic.ids import new_id
from programs import prescribing
from reminders import composing, outbox, probes, sending
from reminders.gateways.base import Parcel, Receipt, Refused
from reminders.models import DeskTask, Outbound, OutboundEvent
from tests.cast import NOW, Cast
from tests.journeys.day import Day, Phones


@dataclass
class Scripted:
    """A gateway that answers as told: a Refused is raised, a call is made."""

    script: list[Any] = field(default_factory=list)
    taken: list[Parcel] = field(default_factory=list)

    def send(self, parcel: Parcel) -> Receipt:
        step = self.script.pop(0) if self.script else None
        if isinstance(step, Exception):
            raise step
        if callable(step):
            step()
        self.taken.append(parcel)
        return Receipt(f"GW-{new_id().hex}", "accepted")


def put(cast: Cast, count: int = 1, *, now: datetime = NOW, **more: Any) -> list[Any]:
    """Texts to the client that are due now."""
    phone = access.current_number(cast.client)
    assert phone is not None
    text = composing.site_text("thanks_done", cast.site, "en")
    rows = [
        outbox.put(
            text, key=f"t:{new_id()}", phone=phone, now=now, client=cast.client, **more
        )
        for _ in range(count)
    ]
    return [row for row in rows if row]


@pytest.fixture
def quiet(inside: Cast) -> Cast:
    """Nothing waits but what the test puts there."""
    sending.send_due(Phones(), NOW)
    return inside


def fresh(row: Outbound) -> Outbound:
    return Outbound.objects.get(pk=row.pk)


def test_a_due_text_leaves_once(quiet: Cast) -> None:
    (row,) = put(quiet)
    gateway = Scripted()
    assert sending.send_due(gateway, NOW) == 1
    assert sending.send_due(gateway, NOW) == 0
    assert [parcel.outbound_id for parcel in gateway.taken] == [str(row.id)]
    assert fresh(row).state == "accepted"
    assert fresh(row).sent_at == NOW


def test_a_text_waits_for_its_time(quiet: Cast) -> None:
    put(quiet, due_at=NOW + timedelta(minutes=5))
    gateway = Scripted()
    assert sending.send_due(gateway, NOW) == 0
    assert sending.send_due(gateway, NOW + timedelta(minutes=5)) == 1


def test_more_than_a_group_leaves_in_one_go(quiet: Cast) -> None:
    put(quiet, 2 * sending.GROUP + 3)
    assert sending.send_due(Scripted(), NOW) == 2 * sending.GROUP + 3


def test_safety_texts_go_before_reminders(quiet: Cast) -> None:
    (late,) = put(quiet, priority=5)
    (first,) = put(quiet, priority=0)
    gateway = Scripted()
    sending.send_due(gateway, NOW)
    assert [p.outbound_id for p in gateway.taken] == [str(first.id), str(late.id)]


def test_the_gateway_is_told_until_when_the_text_is_worth(quiet: Cast) -> None:
    put(quiet)
    gateway = Scripted()
    sending.send_due(gateway, NOW + timedelta(hours=11))
    assert gateway.taken[0].valid_seconds == 3600


def test_a_late_text_expires_and_never_leaves(quiet: Cast) -> None:
    (row,) = put(quiet)
    late = row.not_after
    gateway = Scripted()
    assert sending.send_due(gateway, late) == 0
    assert sending.expire_and_release(late) == 1
    assert fresh(row).state == "expired"
    assert sending.send_due(gateway, late) == 0


def test_no_claim_takes_a_text_to_a_number_that_opted_out(quiet: Cast) -> None:
    """The mark alone stops it: the rows were never taken back one by one."""
    rows = put(quiet, 3)
    consenting.withdraw(rows[0].phone, inbound=None, now=NOW)
    gateway = Scripted()
    assert sending.send_due(gateway, NOW) == 0
    assert {fresh(row).state for row in rows} == {"pending"}


def test_no_claim_takes_a_text_to_a_wrong_number(quiet: Cast) -> None:
    rows = put(quiet, 3)
    consenting.mark_wrong(rows[0].phone, inbound=None, now=NOW)
    assert sending.send_due(Scripted(), NOW) == 0


def test_an_opt_out_between_claim_and_call_still_stops_the_text(quiet: Cast) -> None:
    rows = put(quiet, 5)

    def opt_out() -> None:
        consenting.withdraw(rows[0].phone, inbound=None, now=NOW)

    gateway = Scripted([None, opt_out])
    assert sending.send_due(gateway, NOW) == 2
    states = sorted(fresh(row).state for row in rows)
    assert states == ["accepted", "accepted", "cancelled", "cancelled", "cancelled"]


def test_the_confirmation_of_an_opt_out_may_leave(quiet: Cast) -> None:
    phone = access.current_number(quiet.client)
    assert phone is not None
    consenting.withdraw(phone, inbound=None, now=NOW)
    text = composing.site_text("opt_out_confirmation", quiet.site, "en")
    outbox.put(text, key="out:1", phone=phone, now=NOW, client=quiet.client)
    assert sending.send_due(Scripted(), NOW) == 1


def test_what_a_dead_worker_left_half_sent_is_unknown_and_never_resent(
    quiet: Cast,
) -> None:
    (row,) = put(quiet)
    assert len(sending.claim(NOW)) == 1  # the worker dies here
    soon, later = NOW + timedelta(minutes=1), NOW + sending.LEASE * 2
    assert sending.send_due(Scripted(), soon) == 0
    assert sending.expire_and_release(soon) == 0
    assert sending.expire_and_release(later) == 1
    assert fresh(row).state == "unknown"
    assert fresh(row).sent_at == later
    assert sending.send_due(Scripted(), later) == 0


def test_a_worker_whose_lease_ran_out_sends_no_more_of_its_group(quiet: Cast) -> None:
    rows = put(quiet, 3)
    later = NOW + sending.LEASE * 2
    gateway = Scripted([lambda: sending.expire_and_release(later)])
    sending.send_due(gateway, NOW)
    assert len(gateway.taken) == 1
    assert {fresh(row).state for row in rows} == {"unknown"}


@pytest.mark.parametrize(
    "kind", ["read_timeout", "connection_reset", "unreadable_answer"]
)
def test_a_doubtful_call_is_unknown_and_never_resent(quiet: Cast, kind: str) -> None:
    (row,) = put(quiet)
    gateway = Scripted([Refused(kind=kind)])
    assert sending.send_due(gateway, NOW) == 0
    assert fresh(row).state == "unknown"
    assert sending.send_due(gateway, NOW + timedelta(hours=1)) == 0
    assert gateway.taken == []


def test_a_gateway_that_breaks_in_its_own_way_spoils_one_text_only(
    quiet: Cast,
) -> None:
    rows = put(quiet, 3)
    gateway = Scripted([None, RuntimeError("a library's surprise")])
    assert sending.send_due(gateway, NOW) == 2
    assert [fresh(row).state for row in rows] == ["accepted", "unknown", "accepted"]


def test_an_id_that_the_gateway_gives_twice_spoils_one_text_only(quiet: Cast) -> None:
    class Repeating:
        def __init__(self) -> None:
            self.ids = iter(["GW-1", "GW-2", "GW-1", "GW-3"])

        def send(self, parcel: Parcel) -> Receipt:
            return Receipt(next(self.ids), "accepted")

    rows = put(quiet, 4)
    assert sending.send_due(Repeating(), NOW) == 3
    states = [fresh(row).state for row in rows]
    assert states == ["accepted", "accepted", "unknown", "accepted"]
    events = OutboundEvent.objects.filter(outbound__in=rows, from_state="sending")
    assert events.count() == 4


def test_a_text_that_cannot_be_written_spoils_itself_only(
    quiet: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    rows = put(quiet, 3)
    written = composing.compose

    def broken(row: Outbound, now: datetime) -> bool:
        if row.pk == rows[1].pk:
            raise KeyError("dose")
        return written(row, now)

    monkeypatch.setattr(composing, "compose", broken)
    assert sending.send_due(Scripted(), NOW) == 2
    assert [fresh(row).state for row in rows] == ["accepted", "failed", "accepted"]


@pytest.mark.parametrize(
    "refused",
    [
        Refused(code=20429, http_status=429),
        Refused(kind="connection_refused"),
        Refused(code=20003, http_status=401),
    ],
)
def test_a_text_that_surely_was_not_taken_is_tried_until_its_end(
    quiet: Cast, refused: Refused
) -> None:
    (row,) = put(quiet)
    gateway = Scripted([refused] * 9)
    now = NOW
    for _ in range(9):
        assert sending.send_due(gateway, now) == 0
        held = fresh(row).next_try_at
        assert held is not None
        assert sending.send_due(gateway, held - timedelta(seconds=1)) == 0
        now = held
    assert now - NOW < timedelta(hours=2)
    assert sending.send_due(gateway, now) == 1
    assert fresh(row).due_at == NOW


def test_a_safety_text_is_tried_every_minute(quiet: Cast) -> None:
    (row,) = put(quiet, priority=0)
    gateway = Scripted([Refused(kind="connection_refused")] * 6)
    now = NOW
    for _ in range(6):
        sending.send_due(gateway, now)
        now = fresh(row).next_try_at
    assert now - NOW <= timedelta(minutes=6)


def test_bad_credentials_are_one_task_for_the_organization(quiet: Cast) -> None:
    put(quiet, 4)
    sending.send_due(Scripted([Refused(code=20003, http_status=401)] * 4), NOW)
    task = DeskTask.objects.get(code="sender_setup")
    assert task.client is None


def test_a_dead_number_fails_at_once_with_a_task_and_an_alert(quiet: Cast) -> None:
    (row,) = put(quiet)
    sending.send_due(Scripted([Refused(code=21211, http_status=400)]), NOW)
    assert fresh(row).state == "failed"
    assert DeskTask.objects.get(code="number_failed").client == quiet.client
    alert = quiet.client.alerts.get()
    assert [entry["reason"] for entry in alert.reasons] == ["undelivered"]


def test_an_opt_out_the_gateway_knows_of_becomes_ours(quiet: Cast) -> None:
    rows = put(quiet, 3)
    gateway = Scripted([Refused(code=21610, http_status=400)])
    sending.send_due(gateway, NOW)
    quiet.client.refresh_from_db()
    assert quiet.client.ended_reason == "opted_out"
    assert fresh(rows[0]).phone.opted_out_at == NOW
    put(quiet)
    assert sending.send_due(Scripted(), NOW) == 0
    alert = quiet.client.alerts.get()
    assert [entry["reason"] for entry in alert.reasons] == ["opted_out"]


def test_a_reminder_carries_the_dose_of_the_moment_it_leaves(
    running: Day, inside: Cast
) -> None:
    from programs import plans

    program = prescribing.running(inside.client)
    assert program is not None
    plan = plans.of_revision(prescribing.current_revision(program))
    item = type(plan.items[0])(
        "prone_on_elbows", hold_seconds=10, repetitions=2, sets=1
    )
    shorter = type(plan)(
        items=(item,),
        times_per_day=plan.times_per_day,
        waking_from=plan.waking_from,
        waking_to=plan.waking_to,
        stop_rules=plan.stop_rules,
        review_on=plan.review_on,
    )
    prescribing.revise(
        program, shorter, by=inside.clinician, reason="too long", now=running.now
    )
    gateway = Scripted()
    due = Outbound.objects.filter(kind="reminder").order_by("due_at")[0].due_at
    sending.send_due(gateway, due)
    assert "10 s x2" in gateway.taken[0].body


def test_a_reminder_of_a_stopped_program_is_not_wanted_any_more(
    running: Day, inside: Cast
) -> None:
    program = prescribing.running(inside.client)
    assert program is not None
    prescribing.stop(program, by=inside.clinician, now=running.now)
    rows = Outbound.objects.filter(kind="reminder").order_by("due_at")
    first = rows[0]
    assert sending.send_due(Scripted(), first.due_at) == 0
    assert fresh(first).state == "cancelled"


def test_every_outcome_leaves_an_event(quiet: Cast) -> None:
    taken, doubtful = put(quiet, 2)
    sending.send_due(Scripted([None, Refused(kind="read_timeout")]), NOW)
    moves = OutboundEvent.objects.filter(outbound__in=(taken, doubtful))
    assert sorted(moves.values_list("from_state", "to_state")) == [
        ("sending", "accepted"),
        ("sending", "unknown"),
    ]


def test_a_text_the_gateway_cannot_take_shows_that_the_service_is_behind(
    quiet: Cast,
) -> None:
    put(quiet)
    sending.send_due(Scripted([Refused(kind="connection_refused")]), NOW)
    assert probes.behind_since(NOW + timedelta(minutes=3)) == NOW
