"""Alerts: one open chain that grows, opens again when worse, ends with a decision."""

from __future__ import annotations

from datetime import timedelta

import pytest

from clinic import audit
from clinic.errors import Conflict
from programs.deciding import Choice
from reminders import alerting
from reminders.logic.findings import Finding
from reminders.models import Alert, AlertEvent
from tests.cast import NOW, Cast, prescribe

QUESTION = Finding("question", "review")
SPREADING = Finding("spreading", "next_day")
WORSE_SPREADING = Finding("spreading", "same_day")
NUMB = Finding("saddle_numbness", "emergency")


def raise_at(cast: Cast, hours: float, *found: Finding) -> Alert:
    now = NOW + timedelta(hours=hours)
    alert = alerting.raise_alert(cast.client, found, now=now)
    assert alert is not None
    return alert


def kinds(cast: Cast) -> list[str]:
    events = AlertEvent.objects.filter(alert__client=cast.client)
    return list(events.order_by("at", "id").values_list("kind", flat=True))


def test_nothing_found_opens_nothing(inside: Cast) -> None:
    assert alerting.raise_alert(inside.client, [], now=NOW) is None
    assert inside.client.alerts.count() == 0


def test_the_same_reason_again_adds_nothing(inside: Cast) -> None:
    for hour in range(5):
        raise_at(inside, hour, SPREADING)
    alert = inside.client.alerts.get()
    assert [entry["reason"] for entry in alert.reasons] == ["spreading"]
    assert kinds(inside) == ["opened"]


def test_new_reasons_grow_the_same_chain(inside: Cast) -> None:
    raise_at(inside, 0, SPREADING)
    raise_at(inside, 1, QUESTION)
    raise_at(inside, 2, NUMB)
    alert = inside.client.alerts.get()
    assert (alert.urgency, alert.rank) == ("emergency", 0)
    assert alert.raised_at == NOW + timedelta(hours=2)
    assert kinds(inside) == ["opened", "grown", "grown"]


def test_the_same_reason_at_a_worse_urgency_is_news(inside: Cast) -> None:
    raise_at(inside, 0, SPREADING)
    alert = raise_at(inside, 1, WORSE_SPREADING)
    assert alert.urgency == "same_day"
    assert raise_at(inside, 2, SPREADING).urgency == "same_day"
    assert kinds(inside) == ["opened", "grown"]


def test_a_lesser_reason_never_moves_the_time_to_act_back(inside: Cast) -> None:
    due = raise_at(inside, 0, WORSE_SPREADING).act_by
    assert raise_at(inside, 1, QUESTION).act_by == due


def test_a_worse_reason_opens_an_acknowledged_chain_again(inside: Cast) -> None:
    alert = raise_at(inside, 0, SPREADING)
    alerting.acknowledge(alert, by=inside.clinician, now=NOW + timedelta(hours=1))
    again = raise_at(inside, 2, NUMB)
    assert (again.pk, again.state) == (alert.pk, "open")
    assert again.raised_at == NOW + timedelta(hours=2)


def test_what_is_known_leaves_an_acknowledged_chain_alone(inside: Cast) -> None:
    alert = raise_at(inside, 0, SPREADING)
    alerting.acknowledge(alert, by=inside.clinician, now=NOW)
    assert raise_at(inside, 2, SPREADING).state == "acknowledged"


def test_acknowledging_twice_is_one_event(inside: Cast) -> None:
    alert = raise_at(inside, 0, NUMB)
    for minute in (1, 2):
        at = NOW + timedelta(minutes=minute)
        alert = alerting.acknowledge(alert, by=inside.clinician, now=at)
    assert alert.acknowledged_at == NOW + timedelta(minutes=1)
    assert kinds(inside) == ["opened", "acknowledged"]


def test_a_decision_resolves_the_chain_and_the_next_reason_opens_another(
    inside: Cast,
) -> None:
    prescribe(inside.client, inside.clinician)
    first = raise_at(inside, 0, SPREADING)
    choice = Choice("call", "telephoned")
    later = NOW + timedelta(hours=1)
    decision = alerting.decide(inside.client, choice, by=inside.clinician, now=later)
    assert decision.alert_id == first.pk
    assert alerting.open_chain(inside.client) is None
    second = raise_at(inside, 2, NUMB)
    assert second.pk != first.pk


def test_a_resolved_chain_cannot_be_acknowledged(inside: Cast) -> None:
    prescribe(inside.client, inside.clinician)
    alert = raise_at(inside, 0, SPREADING)
    choice = Choice("call", "telephoned")
    alerting.decide(inside.client, choice, by=inside.clinician, now=NOW)
    with pytest.raises(Conflict):
        alerting.acknowledge(alert, by=inside.lead, now=NOW)


def test_every_change_has_its_audit_line(inside: Cast) -> None:
    before, _ = audit.verify(inside.organization)
    alert = raise_at(inside, 0, SPREADING)
    raise_at(inside, 0.5, SPREADING)
    raise_at(inside, 1, NUMB)
    alerting.acknowledge(alert, by=inside.clinician, now=NOW)
    lines, fault = audit.verify(inside.organization)
    assert (lines - before, fault) == (3, None)


def test_an_emergency_in_an_old_chain_has_its_own_fifteen_minutes(inside: Cast) -> None:
    raise_at(inside, 0, SPREADING)
    alert = raise_at(inside, 72, NUMB)
    assert alert.act_by == NOW + timedelta(hours=72, minutes=15)


def test_a_lesser_reason_never_moves_the_time_out(inside: Cast) -> None:
    first = raise_at(inside, 0, SPREADING).act_by
    assert raise_at(inside, 72, WORSE_SPREADING).act_by == first
