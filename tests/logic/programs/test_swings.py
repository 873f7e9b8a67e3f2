"""A reach that goes out and comes back: one alert, then one finding that persists."""

from datetime import timedelta

from hypothesis import given, settings

from programs.logic import body, reach, spreading
from programs.logic.assessment import Assessment
from programs.logic.days import LocalDays
from programs.logic.reports import SymptomReport, in_order
from programs.logic.response import assess
from tests.logic.programs.cases import ZONE, at, report
from tests.logic.programs.test_response_properties import SERIES

AREAS = ("back", "buttock", "thigh", "lower_leg", "foot")


def _series(*stays: tuple[float, int, int]) -> list[SymptomReport]:
    """Reports every 8 h: so many from an hour on, each at a zone."""
    return [
        report(hours + 8 * place, areas={AREAS[zone]: "present"})
        for hours, count, zone in stays
        for place in range(count)
    ]


def _at_the_end(reports: list[SymptomReport]) -> Assessment:
    return assess(reports, now=reports[-1].at, zone=ZONE)


# out for two days, back for four, out again
OUT_ONCE = ((0, 6, 1), (48, 6, 2), (96, 12, 1))


def test_the_first_way_out_alarms() -> None:
    assert "spreading" in _at_the_end(_series(*OUT_ONCE[:2])).reasons


def test_going_out_again_as_far_is_one_finding_without_an_alert() -> None:
    found = _at_the_end(_series(*OUT_ONCE, (192, 6, 2)))
    assert found.reasons == ("unstable",)
    assert "farther_once" not in found.numbers


def test_the_finding_persists_between_the_ways_out() -> None:
    back_again = _series(*OUT_ONCE, (192, 6, 2), (240, 18, 1))
    found = _at_the_end(back_again)
    assert "unstable" in found.reasons
    numbers = found.numbers["unstable"]
    assert (numbers["swings"], numbers["from_zone"], numbers["to_zone"]) == (2, 1, 2)


def test_staying_a_day_longer_than_before_is_spreading() -> None:
    found = _at_the_end(_series(*OUT_ONCE, (192, 10, 2)))
    assert found.urgency == "next_day"
    assert "spreading" in found.reasons


def test_going_farther_than_before_is_spreading() -> None:
    once = _at_the_end(_series(*OUT_ONCE, (192, 1, 2), (200, 1, 3)))
    twice = _at_the_end(_series(*OUT_ONCE, (192, 1, 2), (200, 2, 3)))
    assert "spreading" not in once.reasons
    assert (twice.urgency, twice.reasons[0]) == ("same_day", "spreading")


def test_two_zones_beyond_what_is_known_count_at_once() -> None:
    found = _at_the_end(_series(*OUT_ONCE, (192, 1, 4)))
    assert (found.urgency, found.reasons[0]) == ("same_day", "spreading")


def test_a_client_who_says_worse_is_believed_on_any_way_out() -> None:
    reports = _series(*OUT_ONCE)
    reports.append(report(192, areas={"thigh": "present"}, overall="worse"))
    assert _at_the_end(reports).urgency == "same_day"


def test_a_swing_is_forgotten_after_three_weeks() -> None:
    reports = _series(*OUT_ONCE, (192, 60, 1), (672, 2, 2))
    assert "spreading" in _at_the_end(reports).reasons


def test_a_leg_is_farther_than_the_back_whatever_its_level() -> None:
    reports = [
        report(0, areas={"back": "present"}),
        report(8, areas={"leg": "present"}),
        report(16, areas={"leg": "present"}),
    ]
    assert "farther_once" in _at_the_end(reports[:2]).numbers
    assert "spreading" in _at_the_end(reports).reasons


@settings(max_examples=150, deadline=None)
@given(SERIES)
def test_the_sliding_usual_is_the_usual_of_the_ladder(
    reports: list[SymptomReport],
) -> None:
    seen = reach.sightings(in_order(reports), LocalDays(ZONE))
    for side in reach.by_side(seen):
        sliding = spreading.SlidingUsual(side)
        for sighting in side.sightings:
            usual = side.usual(sighting.at)
            assert sliding.before(sighting.at) == usual
            zone = sighting.zone
            if zone and sliding.is_within(zone, sighting.at):
                assert usual is None or zone - usual < 1


@settings(max_examples=150, deadline=None)
@given(SERIES)
def test_days_and_levels_are_those_of_the_plain_rules(
    reports: list[SymptomReport],
) -> None:
    for each in reach.sightings(in_order(reports), LocalDays(ZONE)):
        local = each.at.astimezone(ZONE)
        assert (each.day, each.morning) == (local.date(), local.hour < 11)
        area = body.distal_most(each.report.areas)
        assert each.zone == (
            body.zone(area)
            if area is not None
            else 0
            if each.report.pain == 0
            else None
        )


def test_days_hold_where_clocks_change() -> None:
    # clocks go forward in New York on 2026-03-08, back on 2026-11-01
    for start in (at(24 * 5), at(24 * 243)):
        days = LocalDays(ZONE)
        for quarter in range(4 * 72):
            moment = start + timedelta(minutes=15 * quarter)
            local = moment.astimezone(ZONE)
            assert days.of(moment) == (local.date(), local.hour < 11)


def test_drawing_in_part_of_the_way_says_how_far_and_how_long() -> None:
    keep = _at_the_end(_series((0, 6, 4), (48, 6, 2))).numbers["working_keep"]
    assert (keep["from_zone"], keep["to_zone"], keep["partial"]) == (4, 2, 1)
    assert keep["held_hours"] == 40
    whole = _at_the_end(_series((0, 6, 4), (48, 6, 0))).numbers["working_keep"]
    assert whole["partial"] == 0


def test_what_is_unclear_says_what_is_missing() -> None:
    one = assess([report(0, pain=3)], now=at(0), zone=ZONE)
    assert one.missing == (
        "Reach: 0 of 2 reports that say how far it reaches.",
        "Pain: 1 of 5 rated days, or 1 of 8 ratings.",
    )
    once = _at_the_end(_series((0, 1, 1), (8, 1, 2)))
    assert (
        once.missing[0] == "Reach: a second report, 6 h or more after the farther one."
    )
    assert _at_the_end(_series((0, 6, 1))).missing == (
        "Pain: 0 of 5 rated days, or 0 of 8 ratings.",
    )
