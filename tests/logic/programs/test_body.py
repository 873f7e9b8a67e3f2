"""Areas, zones and sides."""

import pytest

from programs.logic import body


@pytest.mark.parametrize(
    ("areas", "expected"),
    [
        ([], None),
        (["back"], "back"),
        (["foot", "back"], "foot"),
        (["leg"], "leg"),
        (["back", "leg"], "leg"),
        (["leg", "thigh"], "thigh"),
        ({"foot": "gone", "thigh": "better"}, "thigh"),
        ({"foot": "gone"}, None),
        ({"leg": "gone", "back": "same"}, "back"),
    ],
)
def test_the_distal_most_area_is_the_farthest_still_there(
    areas: dict[str, str] | list[str], expected: str | None
) -> None:
    assert body.distal_most(areas) == expected


@pytest.mark.parametrize(
    ("start", "end", "zones"),
    [
        ("back", "foot", 4),
        ("foot", "thigh", -2),
        ("knee", "lower_leg", 0),
        ("buttock", "hip", 0),
        ("leg", "foot", None),
        ("back", "leg", None),
    ],
)
def test_distance_counts_coarse_zones(start: str, end: str, zones: int | None) -> None:
    assert body.distance(start, end) == zones


def test_every_area_has_a_zone_and_they_never_fall() -> None:
    levels = [body.zone(area) for area in body.AREAS]
    assert None not in levels
    assert levels == sorted(levels)


def test_both_sides_are_two_and_no_side_is_none() -> None:
    assert body.sides("both") == ("left", "right")
    assert body.sides("left") == ("left",)
    assert body.sides(None) == ()
