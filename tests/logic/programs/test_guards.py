"""Guards of a rising dose: each refuses for its reason, and no sequence breaks one."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from programs.library import load
from programs.logic.assessment import Assessment
from programs.logic.dose import Dose, difference
from programs.logic.guards import (
    HOLDS,
    Approval,
    HoldStep,
    Standing,
    next_hold,
    next_step,
    raised,
    step_refusals,
)
from programs.logic.history import prepare
from programs.logic.plan_state import Case, PlanItem, PlanState
from programs.logic.reports import SymptomReport
from tests.logic.programs.cases import ZONE, at

LIBRARY = load()
READY = Assessment(
    reasons=("ready_to_progress",),
    numbers={"ready_to_progress": {"settled": 0.0, "stalled": 1.0}},
    ready_to_progress=True,
)
HOURS = timedelta(hours=1)


def elbows(hold: int = 10) -> PlanItem:
    return PlanItem(
        "prone_on_elbows", "Prone on elbows", Dose(hold, 3, 1, None, 5), at(0)
    )


APPROVAL = Approval("prone_on_elbows", 5, 30, on=True)
STANDING = Standing(
    running=True, open_alert=False, ranges=(("prone_on_elbows", 5, 30),)
)


def case(
    *,
    hours: float = 96,
    assessment: Assessment = READY,
    changed: datetime | None = None,
    count: int = 12,
    **plan: Any,
) -> Case:
    now = at(hours)
    reports = [
        SymptomReport(at=now - (6 * n + 1) * HOURS, pain=4, completion="done")
        for n in range(count)
    ]
    history = prepare(reports, now=now, zone=ZONE, since=at(0))
    state = PlanState(items=(elbows(),), last_change_at=changed, **plan)
    return Case(assessment, history, state)


def codes(
    given: Case, approval: Approval | None = APPROVAL, standing: Standing = STANDING
) -> list[str]:
    found = step_refusals(given, given.plan.items[0], approval, standing)
    assert all(one.why and one.lifts.endswith(".") for one in found)
    return [one.code for one in found]


def test_a_ready_client_inside_the_range_rises_one_step() -> None:
    assert codes(case()) == []
    step = next_step(case(), [APPROVAL], STANDING)
    assert step == HoldStep("prone_on_elbows", 10, 15)
    before = elbows().dose
    assert difference(before, raised(before, step)) == {"hold_seconds": (10, 15)}


@pytest.mark.parametrize(
    ("given", "approval", "standing", "code"),
    [
        ({}, None, {}, "off"),
        ({}, replace(APPROVAL, on=False), {}, "off"),
        ({}, replace(APPROVAL, high=60), {}, "other_range"),
        ({}, APPROVAL, {"ranges": ()}, "other_range"),
        ({}, APPROVAL, {"lowered": frozenset({"prone_on_elbows"})}, "lowered_since"),
        ({}, APPROVAL, {"running": False}, "not_running"),
        ({}, APPROVAL, {"open_alert": True}, "open_alert"),
        ({}, APPROVAL, {"review_due": True}, "review_due"),
        ({"warning": "same_day"}, APPROVAL, {}, "open_alert"),
        ({"open_alerts": frozenset({"next_day"})}, APPROVAL, {}, "recent_alert"),
        ({"unanswered_ask_back": True}, APPROVAL, {}, "open_question"),
        ({"hours": 47}, APPROVAL, {}, "first_days"),
        ({"count": 5}, APPROVAL, {}, "few_replies"),
        ({"changed": at(73)}, APPROVAL, {}, "too_soon"),
        ({"changed": at(84)}, APPROVAL, {}, "few_sessions"),
        ({"assessment": Assessment()}, APPROVAL, {}, "not_ready"),
        (
            {"assessment": replace(READY, reasons=("ready_to_progress", "unstable"))},
            APPROVAL,
            {},
            "worse",
        ),
        (
            {
                "assessment": replace(
                    READY, numbers={"ready_to_progress": {"settled": 1.0}}
                )
            },
            APPROVAL,
            {},
            "settled",
        ),
        ({}, APPROVAL, {"declined_at": at(1)}, "declined"),
    ],
)
def test_each_guard_refuses_for_its_own_reason(
    given: dict[str, Any],
    approval: Approval | None,
    standing: dict[str, Any],
    code: str,
) -> None:
    assert code in codes(case(**given), approval, replace(STANDING, **standing))
    blocked = replace(STANDING, **standing)
    assert next_step(case(**given), [approval] if approval else [], blocked) is None


def test_a_hold_at_the_top_or_outside_its_range_stays() -> None:
    for hold, code in ((30, "at_top"), (45, "at_top"), (4, "out_of_range")):
        given = case()
        item = elbows(hold)
        found = step_refusals(given, item, APPROVAL, STANDING)
        assert [one.code for one in found] == [code]


@given(hold=st.integers(1, 300), high=st.integers(5, 300))
def test_a_step_is_one_rung_and_never_past_the_range_or_a_minute(
    hold: int, high: int
) -> None:
    after = next_hold(hold, high)
    if after is None:
        assert hold >= min(high, 60)
        return
    assert hold < after <= min(high, 60)
    assert sum(hold < rung < after for rung in HOLDS) == 0


EVENTS = st.sampled_from(
    [
        *("done", "skipped", "silent_hours", "step", "step", "step", "long_wait"),
        *("alert", "resolve", "ask", "answer", "change", "on", "off", "hold", "go_on"),
        *("worse", "better", "decline"),
    ]
)


@dataclass
class World:
    """A client's program as a plain model: what happened, and when."""

    now: datetime = field(default_factory=lambda: at(0))
    hold: int = 5
    high: int = 60
    on: bool = False
    running: bool = True
    alert_open: bool = False
    alert_at: datetime | None = None
    asked: bool = False
    changed: datetime | None = None
    declined: datetime | None = None
    ready: bool = True
    reports: list[SymptomReport] = field(default_factory=list)
    stepped: list[datetime] = field(default_factory=list)

    def take(self, event: str) -> None:
        self.now += timedelta(hours=5)
        getattr(self, f"_{event}", lambda: None)()

    def _done(self) -> None:
        self.reports.append(SymptomReport(self.now, pain=4, completion="done"))

    def _skipped(self) -> None:
        self.reports.append(SymptomReport(self.now, pain=4, completion="skipped"))

    def _long_wait(self) -> None:
        self.now += timedelta(days=4)

    def _alert(self) -> None:
        self.alert_open, self.alert_at = True, self.now

    def _resolve(self) -> None:
        if self.alert_open:
            self.alert_open, self.alert_at = False, self.now

    def _ask(self) -> None:
        self.asked = True

    def _answer(self) -> None:
        self.asked = False

    def _change(self) -> None:
        self.changed, self.hold = self.now, max(5, self.hold - 5)

    def _on(self) -> None:
        self.on = True

    def _off(self) -> None:
        self.on = False

    def _hold(self) -> None:
        self.running = False

    def _go_on(self) -> None:
        self.running = True

    def _worse(self) -> None:
        self.ready = False

    def _better(self) -> None:
        self.ready = True

    def _decline(self) -> None:
        self.declined = self.now

    def _step(self) -> None:
        standing = Standing(
            self.running,
            self.alert_open,
            (("prone_on_elbows", 5, self.high),),
            self.declined,
        )
        approval = Approval("prone_on_elbows", 5, self.high, self.on)
        step = next_step(self._case(), [approval], standing)
        if step is not None:
            self._check(step)
            self.hold, self.changed = step.after, self.now
            self.stepped.append(self.now)

    def _case(self) -> Case:
        week = self.now - timedelta(days=7)
        recent = self.alert_open or (self.alert_at is not None and self.alert_at > week)
        plan = PlanState(
            items=(elbows(self.hold),),
            last_change_at=self.changed,
            open_alerts=frozenset({"next_day"} if recent else ()),
            unanswered_ask_back=self.asked,
        )
        history = prepare(self.reports, now=self.now, zone=ZONE, since=at(0))
        return Case(READY if self.ready else Assessment(), history, plan)

    def _check(self, step: HoldStep) -> None:
        """The promises, worked out anew from what happened."""
        assert self.on and self.running and self.ready
        assert not self.asked and not self.alert_open
        assert self.now - at(0) >= timedelta(hours=48)
        assert step.before == self.hold < step.after <= min(self.high, 60)
        assert sum(self.hold < rung < step.after for rung in HOLDS) == 0
        if self.alert_at is not None:
            assert self.now - self.alert_at >= timedelta(days=7)
        if self.declined is not None:
            assert self.now - self.declined >= timedelta(days=7)
        if self.changed is not None:
            assert self.now - self.changed >= timedelta(hours=24)
            since = [r for r in self.reports if r.at > self.changed]
            assert sum(r.completion == "done" for r in since) >= 3
        if self.stepped:
            assert self.now - self.stepped[-1] >= timedelta(hours=24)


@settings(max_examples=300, deadline=None)
@given(high=st.integers(5, 60), events=st.lists(EVENTS, max_size=80))
def test_no_sequence_of_events_breaks_a_guard(high: int, events: list[str]) -> None:
    world = World(high=high)
    for event in events:
        world.take(event)


def test_the_model_does_step_when_everything_allows_it() -> None:
    world = World(high=15)
    for event in ["on", *["done"] * 10, "step", *["done"] * 3, "step"]:
        world.take(event)
    assert (len(world.stepped), world.hold) == (1, 10)
    for event in [*["done"] * 5, "step", *["done"] * 8, "step"]:
        world.take(event)
    assert (len(world.stepped), world.hold) == (2, 15)
