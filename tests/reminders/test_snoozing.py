"""Putting a chain away: off the list, still one, back on its day or when worse."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest

from clinic import audit
from clinic.errors import BadInput, Conflict
from clinic.models import AuditEntry
from programs.deciding import Choice
from reminders import alerting, snoozing, triage
from reminders.logic.findings import Finding
from reminders.models import Alert, AlertEvent
from tests.cast import NOW, Cast

SKIPPING, SPREADING = Finding("skipping", "review"), Finding("spreading", "next_day")
THURSDAY = date(2026, 3, 5)
BACK = datetime.fromisoformat("2026-03-05T05:00:00+00:00")  # midnight at the site
WHY = "On a trip until Wednesday"


def raised(cast: Cast, *found: Finding, at: datetime = NOW) -> Alert:
    alert = alerting.raise_alert(cast.client, found or [SKIPPING], now=at)
    assert alert is not None
    return alert


@pytest.fixture
def away(inside: Cast) -> Alert:
    """A skipping client's chain, put away until Thursday."""
    return snoozing.snooze(raised(inside), THURSDAY, WHY, by=inside.clinician, now=NOW)


def listed(cast: Cast, now: datetime) -> list[Alert]:
    return [row.alert for row in triage.rows(cast.clinician, now)]


def put_away(cast: Cast, now: datetime) -> list[Alert]:
    return triage.snoozed(cast.clinician, now)


def test_it_leaves_the_list_and_stands_under_its_own_heading(
    inside: Cast, away: Alert
) -> None:
    assert listed(inside, NOW) == []
    [kept] = put_away(inside, NOW)
    assert (kept.snoozed_until, kept.snooze_reason) == (BACK, WHY)
    assert kept.snoozed_by == kept.acknowledged_by == inside.clinician
    assert alerting.open_chain(inside.client) == away


def test_it_is_back_on_its_day_with_a_fresh_time_to_act(
    inside: Cast, away: Alert
) -> None:
    assert snoozing.wake_due(BACK - timedelta(seconds=1)) == 0
    assert snoozing.wake_due(BACK) == 1
    assert snoozing.wake_due(BACK) == 0
    [alert] = listed(inside, BACK)
    assert (alert.state, alert.snoozed_until) == ("open", None)
    assert alert.act_by > BACK
    assert put_away(inside, BACK) == []


def test_it_is_listed_on_its_day_even_when_the_watch_is_late(
    inside: Cast, away: Alert
) -> None:
    assert listed(inside, BACK) == [away]
    assert put_away(inside, BACK) == []


def test_a_new_reason_brings_it_back_at_once(inside: Cast, away: Alert) -> None:
    raised(inside, SPREADING, at=NOW + timedelta(hours=1))
    [alert] = listed(inside, NOW + timedelta(hours=1))
    assert (alert.id, alert.state, alert.urgency) == (away.id, "open", "next_day")


def test_the_same_reason_more_urgent_brings_it_back(inside: Cast, away: Alert) -> None:
    raised(inside, Finding("skipping", "next_day"), at=NOW + timedelta(hours=1))
    assert listed(inside, NOW + timedelta(hours=1)) == [away]


def test_the_same_reason_again_leaves_it_away(inside: Cast, away: Alert) -> None:
    raised(inside, SKIPPING, at=NOW + timedelta(hours=1))
    assert listed(inside, NOW + timedelta(hours=1)) == []


def test_the_client_s_own_word_that_it_is_worse_brings_it_back(
    inside: Cast, away: Alert
) -> None:
    later = NOW + timedelta(hours=1)
    alerting.raise_alert(inside.client, [SKIPPING], now=later, worse=True)
    [alert] = listed(inside, later)
    assert (alert.state, len(alert.reasons)) == ("open", 1)


def test_an_emergency_on_a_chain_put_away_has_its_quarter_of_an_hour(
    inside: Cast, away: Alert
) -> None:
    later = NOW + timedelta(hours=1)
    alert = raised(inside, Finding("crisis", "emergency"), at=later)
    assert alert.act_by == later + timedelta(minutes=15)
    assert (alert.state, alert.raised_at) == ("open", later)


def test_a_person_may_bring_it_back(inside: Cast, away: Alert) -> None:
    snoozing.bring_back(away, by=inside.lead, now=NOW)
    snoozing.bring_back(away, by=inside.lead, now=NOW)
    assert listed(inside, NOW) == [away]
    assert AlertEvent.objects.filter(kind="returned").count() == 1


def test_why_it_was_put_away_stays_on_record(inside: Cast, away: Alert) -> None:
    snoozing.bring_back(away, by=inside.lead, now=NOW)
    snoozing.snooze(away, THURSDAY, "Again", by=inside.lead, now=NOW)
    events = AlertEvent.objects.filter(kind="snoozed")
    assert [event.note for event in events] == [WHY, "Again"]


def test_a_decision_ends_it_wherever_it_is(inside: Cast, away: Alert) -> None:
    alerting.decide(inside.client, Choice("call", "spoke"), by=inside.lead, now=NOW)
    assert put_away(inside, NOW) == []
    assert snoozing.wake_due(BACK) == 0
    with pytest.raises(Conflict):
        snoozing.bring_back(away, by=inside.lead, now=NOW)


def test_what_may_be_an_emergency_is_refused(inside: Cast) -> None:
    alert = raised(inside, Finding("leg_weakness", "same_day"))
    with pytest.raises(Conflict, match="decide on it"):
        snoozing.snooze(alert, THURSDAY, WHY, by=inside.clinician, now=NOW)
    assert listed(inside, NOW) == [alert]


@pytest.mark.parametrize(
    ("day", "why", "field"),
    [
        (date(2026, 3, 2), WHY, "until"),
        (date(2026, 4, 2), WHY, "until"),
        (THURSDAY, "  ", "reason"),
        (THURSDAY, "x" * 501, "reason"),
    ],
)
def test_a_day_out_of_reach_or_no_reason_is_refused(
    inside: Cast, day: date, why: str, field: str
) -> None:
    with pytest.raises(BadInput) as caught:
        snoozing.snooze(raised(inside), day, why, by=inside.clinician, now=NOW)
    assert caught.value.field == field


def test_everything_is_on_the_audit_chain_without_the_reason_s_words(
    inside: Cast, away: Alert
) -> None:
    snoozing.wake_due(BACK)
    lines = AuditEntry.objects.filter(subject_id=away.id).order_by("sequence")
    assert [(line.action, line.actor) for line in lines][1:] == [
        ("alert.snoozed", f"staff:{inside.clinician.id}"),
        ("alert.returned", "service"),
    ]
    assert all(WHY not in str(line.detail) for line in lines)
    assert audit.verify(inside.organization)[1] is None
