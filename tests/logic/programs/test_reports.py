"""Reports refuse what would hide an alarm, and forget how they arrived."""

from datetime import datetime, timedelta, timezone
from typing import Any

import pytest

from programs.logic.reports import SymptomReport, in_order
from tests.logic.programs.cases import START, report


@pytest.mark.parametrize(
    ("said", "message"),
    [
        ({"pain": 11}, "between 0 and 10"),
        ({"pain": float("nan")}, "between 0 and 10"),
        ({"pain_by_area": {"back": -1}}, "between 0 and 10"),
        ({"areas": {"elbow": "present"}}, "Unknown area"),
        ({"areas": {"foot": "worst"}}, "Unknown state"),
        ({"sensation": {"foot": "hot"}}, "Unknown sensation"),
        ({"side": "middle"}, "Unknown side"),
        ({"overall": "fine"}, "Unknown overall"),
        ({"shift": "left"}, "Unknown shift"),
        ({"completion": "maybe"}, "Unknown completion"),
    ],
)
def test_a_word_outside_its_list_is_refused(said: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        report(0, **said)


def test_a_time_without_a_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="aware"):
        SymptomReport(datetime(2026, 3, 2, 9))  # noqa: DTZ001 - the point of the test


def test_the_same_report_counts_once_whatever_zone_or_number_type() -> None:
    local = START.astimezone(timezone(timedelta(hours=-5)))
    twice = [SymptomReport(START, pain=3), SymptomReport(local, pain=3.0)]
    assert len(in_order(twice)) == 1


def test_order_is_by_time() -> None:
    late, early = report(8, pain=1), report(0, pain=2)
    assert in_order([late, early, late]) == [early, late]
