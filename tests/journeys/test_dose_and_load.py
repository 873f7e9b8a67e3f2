"""Over HTTP: a hold rises inside its range, is shown, undone; a suggestion answered."""

from __future__ import annotations

from typing import Any

import pytest
import time_machine
from django.test import Client as Browser

from clinic import scope
from programs.models import HoldStep, KeptSuggestion
from programs.plans import ItemPlan
from reminders.models import Outbound, ReminderLoad
from tests.cast import NOW, NUMBER, SENDING, Cast, prescribe
from tests.journeys.day import TOKEN, Day

ELBOWS = ItemPlan(
    "prone_on_elbows", hold_seconds=10, repetitions=3, sets=1, hold_low=5, hold_high=30
)
ITEMS = (ItemPlan("press_up", repetitions=10, sets=1), ELBOWS)
SAME = "done, pain 5, right thigh"


@pytest.fixture(autouse=True)
def _token(settings: Any) -> None:
    settings.TWILIO_AUTH_TOKEN = TOKEN


@pytest.fixture
def day(cast: Cast) -> Day:
    prescribe(cast.client, cast.clinician, items=ITEMS, times_per_day=3)
    day = Day(NOW)
    day.work()
    day.text(NUMBER, SENDING, "ok")
    return day


class Desk:
    """A staff member's browser at the day's time."""

    def __init__(self, cast: Cast, day: Day) -> None:
        self.cast, self.day = cast, day
        self.browser = Browser()
        self.browser.force_login(cast.clinician)

    def page(self, path: str = "") -> str:
        with time_machine.travel(self.day.now, tick=False):
            answer = self.browser.get(path or f"/clients/{self.cast.client.id}")
        assert answer.status_code == 200, answer.status_code
        return str(answer.content.decode())

    def send(self, path: str, **data: str) -> int:
        url = f"/clients/{self.cast.client.id}/{path}"
        with time_machine.travel(self.day.now, tick=False):
            return int(self.browser.post(url, data).status_code)


def live(day: Day, days: float, said: str = SAME) -> None:
    """Three replies a day, an hour after each reminder or so."""
    for _ in range(round(days * 3)):
        day.jump(hours=8)
        day.text(NUMBER, SENDING, said)


def until_step(cast: Cast, day: Day) -> HoldStep:
    """The first step; none may come before the third day."""
    for replies in range(15):
        live(day, 1 / 3)
        with scope.within(cast.organization.id):
            found = HoldStep.objects.first()
        if found is not None:
            assert replies >= 5
            return found
    raise AssertionError("no step in five days")


def test_a_pre_approved_hold_rises_is_told_shown_and_taken_back(
    cast: Cast, day: Day
) -> None:
    desk = Desk(cast, day)
    assert "switched off" in desk.page()
    assert desk.send("holds", exercise="prone_on_elbows", on="yes") == 302
    step = until_step(cast, day)
    assert (step.before, step.after) == (10, 15)
    page = desk.page()
    assert "pre-approved by Clinician" in page
    assert "Take it back" in page
    assert "Done inside a pre-approved range" in desk.page("/triage")

    sent = len(day.phones.to(NUMBER))
    day.forward(hours=20)
    told = [text for text in day.phones.to(NUMBER)[sent:] if "NEW dose" in text]
    assert len(told) == 1
    assert "15 s x3" in told[0]

    assert desk.send(f"holds/{step.id}/undo") == 302
    assert "Taken back" in desk.page()
    assert "switched off" in desk.page()
    sent = len(day.phones.to(NUMBER))
    day.forward(hours=20)
    told = [text for text in day.phones.to(NUMBER)[sent:] if "NEW dose" in text]
    assert "10 s x3" in told[0]
    assert desk.send(f"holds/{step.id}/undo") == 409
    live(day, 2)
    with scope.within(cast.organization.id):
        assert HoldStep.objects.count() == 1


def test_a_step_followed_by_spreading_is_taken_back_by_itself(
    cast: Cast, day: Day
) -> None:
    desk = Desk(cast, day)
    desk.send("holds", exercise="prone_on_elbows", on="yes")
    live(day, 4)
    day.jump(hours=8)
    day.text(NUMBER, SENDING, "done, pain 6, right foot, it is going down the leg")
    with scope.within(cast.organization.id):
        step = HoldStep.objects.latest("at")
        assert step.undone_at is not None
        assert step.undone_by is None
    assert "because it got worse" in desk.page()


def test_a_suggestion_is_shown_declined_with_a_reason_and_stays_away(
    cast: Cast, day: Day
) -> None:
    desk = Desk(cast, day)
    live(day, 4)
    with scope.within(cast.organization.id):
        kept = KeptSuggestion.objects.get(state="open")
    assert kept.action == "progress"
    assert "Ready to move on" in desk.page("/triage")
    page = desk.page()
    assert "What would change this" in page
    assert desk.send(f"suggestions/{kept.id}", answer="decline") == 400
    assert desk.send(f"suggestions/{kept.id}", answer="decline", reason="Lifts") == 302
    page = desk.page()
    assert "declined" in page
    assert "Lifts" in page
    live(day, 1)
    assert "Ready to move on" not in desk.page("/triage")
    with scope.within(cast.organization.id):
        open_ones = KeptSuggestion.objects.filter(state="open", action="progress")
        assert not open_ones.exists()


def test_an_accepted_suggestion_changes_the_program_and_an_edited_one_its_way(
    cast: Cast, day: Day
) -> None:
    desk = Desk(cast, day)
    live(day, 4)
    with scope.within(cast.organization.id):
        kept = KeptSuggestion.objects.get(state="open")
    code = f"suggestions/{kept.id}"
    assert desk.send(code, answer="edit", step="times:4", reason="One more") == 302
    with scope.within(cast.organization.id):
        kept.refresh_from_db()
        assert (kept.state, kept.revision.times_per_day) == ("edited", 4)
        assert kept.decision.kind == "progress"
    assert desk.send(code, answer="accept") == 409


def test_the_what_if_page_shows_steps_and_refusals(cast: Cast, day: Day) -> None:
    desk = Desk(cast, day)
    live(day, 5)
    page = desk.page(f"/clients/{cast.client.id}/what-if")
    assert "One step: 10 s becomes 15 s" in page
    assert "the program is less than 48 h old" in page
    assert "row 10" in page


def test_a_clinician_fixes_how_often_the_client_is_reminded(
    cast: Cast, day: Day
) -> None:
    desk = Desk(cast, day)
    live(day, 1)
    assert desk.send("load", level="few") == 302
    day.work()
    with scope.within(cast.organization.id):
        load = ReminderLoad.objects.latest("at")
        assert (load.level, load.fixed, load.by) == ("few", True, cast.clinician)
    day.forward(hours=14)
    texts = [text for text in day.phones.to(NUMBER) if "remind you less often" in text]
    assert len(texts) == 1
    with scope.within(cast.organization.id):
        rows = Outbound.objects.filter(local_date=day.now.date(), state="pending")
        assert rows.count() == 2
    assert desk.send("load", level="") == 302
    assert "left to the rule again" in desk.page()
