"""Doing all due work at a moment: what a moved clock relies on."""

from __future__ import annotations

from datetime import timedelta

from reminders import working
from tests.cast import NOW, NUMBER, Cast, prescribe
from tests.journeys.day import Phones


def test_a_new_client_gets_the_first_text_and_nothing_else(cast: Cast) -> None:
    phones = Phones()
    prescribe(cast.client, cast.clinician)
    assert working.work_once(NOW, gateway=phones) == 1
    assert len(phones.to(NUMBER)) == 1


def test_the_same_moment_twice_sends_nothing_twice(cast: Cast) -> None:
    phones = Phones()
    working.work_once(NOW, gateway=phones)
    assert working.work_once(NOW, gateway=phones) == 0
    assert working.tend(NOW + timedelta(minutes=1), gateway=phones) == 0
