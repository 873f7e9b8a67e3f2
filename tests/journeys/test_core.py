"""One client's day through the writers and the webhook, before any page is drawn."""

from __future__ import annotations

import pytest

from clinic import audit, scope
from clinic.models import Client
from programs import plans, prescribing
from programs.deciding import Choice
from reminders import alerting
from reminders.models import Inbound
from tests.cast import NOW, NUMBER, SENDING, Cast, prescribe
from tests.journeys.day import TOKEN, Day


@pytest.fixture(autouse=True)
def _token(settings: object) -> None:
    settings.TWILIO_AUTH_TOKEN = TOKEN  # type: ignore[attr-defined]


@pytest.fixture
def day(cast: Cast) -> Day:
    return Day(NOW)


def started(cast: Cast, day: Day) -> Day:
    prescribe(cast.client, cast.clinician)
    day.work()
    day.text(NUMBER, SENDING, "ok")
    return day


def last(day: Day) -> str:
    return day.phones.to(NUMBER)[-1]


def test_nothing_but_the_first_text_leaves_before_it_is_answered(
    cast: Cast, day: Day
) -> None:
    prescribe(cast.client, cast.clinician)
    day.forward(hours=8)
    assert len(day.phones.to(NUMBER)) == 1
    assert "HELP" in last(day)
    assert "STOP" in last(day)


def test_a_reminder_names_the_first_exercise_and_asks_three_things(
    cast: Cast, day: Day
) -> None:
    started(cast, day).forward(hours=4)
    assert "30 s x3" in last(day)
    assert "+1 more" in last(day)
    assert "0-10" in last(day)


def test_a_good_reply_is_reported_and_opens_nothing(cast: Cast, day: Day) -> None:
    started(cast, day).forward(hours=4)
    day.text(NUMBER, SENDING, "done, pain 3/10, leg better")
    with scope.within(cast.organization.id):
        report = cast.client.reports.get()
        assert (report.completion, report.pain) == ("done", 3)
        assert report.areas["leg"] == "better"
        assert alerting.open_chain(cast.client) is None


def test_spreading_opens_an_alert_and_stops_asking_for_exercises(
    cast: Cast, day: Day
) -> None:
    started(cast, day).forward(hours=4)
    day.text(NUMBER, SENDING, "done, pain 4, thigh")
    day.forward(hours=3)
    day.text(NUMBER, SENDING, "worse today 7, now down to my calf and foot tingles")
    with scope.within(cast.organization.id):
        alert = alerting.open_chain(cast.client)
        assert alert is not None
        assert alert.urgency == "same_day"
        assert "spreading" in alerting.open_reasons(alert)
    day.forward(hours=3)
    assert "Press-up" not in last(day)
    assert "0-10" in last(day)


def test_after_the_dose_is_lowered_the_next_reminder_says_so(
    cast: Cast, day: Day
) -> None:
    started(cast, day).forward(hours=4)
    day.text(NUMBER, SENDING, "worse today 7, now down to my calf and foot tingles")
    with scope.within(cast.organization.id):
        program = prescribing.running(cast.client)
        assert program is not None
        lower = plans.of_revision(prescribing.current_revision(program))
        lower = type(lower)(
            items=lower.items[:1],
            times_per_day=lower.times_per_day,
            waking_from=lower.waking_from,
            waking_to=lower.waking_to,
            stop_rules=lower.stop_rules,
            review_on=lower.review_on,
        )
        choice = Choice("reduce", "leave the press-up out", plan=lower)
        alerting.decide(cast.client, choice, by=cast.clinician, now=day.now)
    day.forward(hours=3)
    assert "NEW dose" in last(day)


def test_an_emergency_is_answered_held_and_paged_until_somebody_takes_it(
    cast: Cast, day: Day
) -> None:
    started(cast, day).forward(hours=2)
    day.text(NUMBER, SENDING, "numb between my legs and cant pee")
    assert "emergency" in last(day)
    assert len(day.phones.to("+12025550191")) == 1
    day.forward(minutes=20)
    assert len(day.phones.to("+12025550192")) == 1
    with scope.within(cast.organization.id):
        program = prescribing.running(cast.client)
        assert program is not None
        assert program.state == "held"
        alert = alerting.open_chain(cast.client)
        assert alert is not None
        alerting.acknowledge(alert, by=cast.clinician, now=day.now)
    pages = len(day.phones.taken)
    day.forward(minutes=40)
    assert len(day.phones.taken) == pages


def test_stop_ends_every_text_with_one_confirmation(cast: Cast, day: Day) -> None:
    started(cast, day).forward(hours=4)
    before = len(day.phones.to(NUMBER))
    day.text(NUMBER, SENDING, "STOP")
    day.forward(hours=48)
    assert len(day.phones.to(NUMBER)) == before + 1
    with scope.within(cast.organization.id):
        client = Client.objects.get()
        assert (client.monitoring, client.ended_reason) == ("ended", "opted_out")
        alert = alerting.open_chain(client)
        assert alert is not None
        assert "opted_out" in alerting.open_reasons(alert)


def test_the_same_message_twice_is_stored_and_answered_once(
    cast: Cast, day: Day
) -> None:
    started(cast, day).forward(hours=4)
    for _ in range(3):
        day.text(NUMBER, SENDING, "done 4", MessageSid="SMsame")
    with scope.within(cast.organization.id):
        assert Inbound.objects.filter(gateway_id="SMsame").count() == 1
        assert cast.client.reports.count() == 1


def test_the_audit_chain_of_a_day_verifies(cast: Cast, day: Day) -> None:
    started(cast, day).forward(hours=10)
    day.text(NUMBER, SENDING, "pain 4")
    with scope.within(cast.organization.id):
        lines, fault = audit.verify(cast.organization)
    assert fault is None
    assert lines > 8


def test_a_sign_that_stands_outweighs_a_harmless_later_text(
    cast: Cast, day: Day
) -> None:
    started(cast, day).forward(hours=2)
    day.text(NUMBER, SENDING, "numb between my legs and cant pee")
    day.text(NUMBER, SENDING, "done 3, just in my back")
    with scope.within(cast.organization.id):
        suggestion = cast.client.assessments.order_by("-at", "-id")[0].suggestion
    assert suggestion["action"] == "stop"


def test_a_fever_with_rigors_is_an_emergency(cast: Cast, day: Day) -> None:
    started(cast, day).forward(hours=2)
    day.text(NUMBER, SENDING, "fever 39 and cant stop shivering")
    with scope.within(cast.organization.id):
        alert = alerting.open_chain(cast.client)
        assert alert is not None
        assert alert.urgency == "emergency"
