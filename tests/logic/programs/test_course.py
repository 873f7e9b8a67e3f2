"""A course kept up report by report says what a full look at all of them says."""

from datetime import datetime
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from programs.logic.course import Course
from programs.logic.history import prepare
from programs.logic.reports import SymptomReport
from programs.logic.response import assess
from tests.logic.programs.cases import ZONE, at, report
from tests.logic.programs.test_response_properties import (
    DUE,
    MOMENTS,
    REPORTS,
    SERIES,
)


def _kept_up(reports: list[SymptomReport], **known: Any) -> Course:
    course = Course(zone=ZONE, **known)
    for each in reports:
        course.take(each)
    return course


@settings(max_examples=150, deadline=None)
@given(SERIES, MOMENTS, st.none() | MOMENTS, DUE, st.none() | REPORTS)
def test_every_step_equals_a_full_recompute(
    reports: list[SymptomReport],
    now: datetime,
    since: datetime | None,
    due: list[datetime],
    baseline: SymptomReport | None,
) -> None:
    course = Course(zone=ZONE, since=since, baseline=baseline)
    known: dict[str, Any] = {"zone": ZONE, "since": since, "baseline": baseline}
    for place, each in enumerate(reports, start=1):
        course.take(each)
        for moment in (each.at, now):
            full = assess(reports[:place], now=moment, due=due, **known)
            assert course.assess(now=moment, due=due) == full


@settings(max_examples=100, deadline=None)
@given(st.data(), SERIES, MOMENTS)
def test_late_repeated_and_corrected_reports_end_in_the_same_state(
    data: st.DataObject, reports: list[SymptomReport], now: datetime
) -> None:
    again = data.draw(st.lists(st.sampled_from(reports), max_size=5)) if reports else []
    wrong = data.draw(st.lists(REPORTS, max_size=3))
    wrong = [each for each in wrong if each not in reports]
    arrivals = data.draw(st.permutations([*reports, *again, *wrong]))
    course = _kept_up(arrivals)
    for each in wrong:
        course.take_out(each)
    assert course.history(now=now) == prepare(reports, now=now, zone=ZONE)
    assert course.assess(now=now) == assess(reports, now=now, zone=ZONE)


def test_a_corrected_report_counts_as_corrected() -> None:
    wrong = report(8, areas={"foot": "present"})
    right = report(8, areas={"buttock": "present"})
    course = _kept_up([report(0, areas={"buttock": "present"}), wrong])
    assert "spreading" in course.assess(now=at(8)).reasons
    course.correct(wrong, right)
    assert course.assess(now=at(8)).reasons == ()
    assert len(course) == 2


def test_a_report_older_than_four_weeks_is_still_the_last_one() -> None:
    course = _kept_up([report(0, pain=3)])
    found = course.assess(now=at(24 * 40))
    assert found == assess([report(0, pain=3)], now=at(24 * 40), zone=ZONE)
    assert found.reasons == ("silent",)


@pytest.mark.parametrize("hours", [0, 3])
def test_a_report_from_the_future_waits(hours: float) -> None:
    course = _kept_up([report(0, pain=3), report(hours, pain=4)])
    known = course.history(now=at(0)).reports
    assert len(known) == (2 if hours < 2 else 1)
