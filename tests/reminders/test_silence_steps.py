"""Each step of a silence is taken once, also after a person dealt with it."""

from __future__ import annotations

import pytest

from clinic import scope
from programs.deciding import Choice
from reminders import alerting
from reminders.models import AlertEvent, DeskTask
from tests.cast import NOW, NUMBER, SENDING, Cast, prescribe
from tests.journeys.day import TOKEN, Day


@pytest.fixture(autouse=True)
def _token(settings: object) -> None:
    settings.TWILIO_AUTH_TOKEN = TOKEN  # type: ignore[attr-defined]


def silent_since_the_first_text(cast: Cast) -> Day:
    day = Day(NOW)
    prescribe(cast.client, cast.clinician)
    day.work()
    day.text(NUMBER, SENDING, "ok")
    return day


def decided(cast: Cast, day: Day) -> None:
    with scope.within(cast.organization.id):
        choice = Choice("call", "telephoned, no answer")
        alerting.decide(cast.client, choice, by=cast.clinician, now=day.now)


def steps(cast: Cast) -> list[tuple[str, str]]:
    with scope.within(cast.organization.id):
        events = AlertEvent.objects.filter(alert__client=cast.client)
        return list(events.exclude(reason="").values_list("reason", "urgency"))


def test_a_silence_that_was_decided_on_is_not_raised_again(cast: Cast) -> None:
    day = silent_since_the_first_text(cast)
    day.forward(hours=49)
    assert steps(cast) == [("silent", "review")]
    decided(cast, day)
    day.forward(hours=2)
    assert steps(cast) == [("silent", "review")]


def test_the_next_step_of_the_same_silence_is_raised(cast: Cast) -> None:
    day = silent_since_the_first_text(cast)
    day.forward(hours=49)
    decided(cast, day)
    day.forward(hours=24)
    assert steps(cast) == [("silent", "review"), ("silent", "next_day")]


def test_the_task_to_telephone_is_opened_once_a_silence(cast: Cast) -> None:
    day = silent_since_the_first_text(cast)
    day.forward(days=7, hours=1)
    with scope.within(cast.organization.id):
        task = DeskTask.objects.get(code="call")
        task.done_at = day.now
        task.save()
        decided(cast, day)
        day.forward(hours=1)
        assert DeskTask.objects.filter(code="call").count() == 1
