"""The reach chart: a dot a located report, the body in order, safe and repeatable."""

import re
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import pytest

from programs.logic.body import AREAS
from programs.logic.reach_chart import (
    ReachMark,
    ReachPoint,
    reach_chart,
    reach_table,
)
from programs.logic.reach_shapes import RAMP
from programs.logic.reach_words import WORDS

ZONE = ZoneInfo("America/New_York")
START = datetime(2026, 10, 20, 4, tzinfo=UTC)
END = START + timedelta(days=21)
SIZES = ("full", "narrow", "small")
NASTY = '<script>alert("1")</script> & \x00\ud800 "x"'


def _at(day: float) -> datetime:
    return START + timedelta(days=day)


def _draw(
    points: list[ReachPoint], marks: tuple[ReachMark, ...] = (), **kept: object
) -> str:
    given = {"start": START, "end": END, "zone": ZONE, **kept}
    return reach_chart(points, marks, **given)  # type: ignore[arg-type]


def _parse(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)  # noqa: S314 - our own text


def _by_class(svg: str, name: str) -> list[ElementTree.Element]:
    return [e for e in _parse(svg).iter() if name in e.get("class", "").split()]


def _top(dot: ElementTree.Element) -> float:
    found = re.match(r"M\S+ (\S+)A", dot.get("d", ""))
    assert found is not None
    return float(found.group(1))


def _dense() -> list[ReachPoint]:
    return [
        ReachPoint(_at(hour / 4), AREAS[hour % 7], hour % 11, "right")
        for hour in range(84)
    ]


MARKS = (
    ReachMark(_at(1), "Prone on elbows, 30 s x 3", "dose"),
    ReachMark(_at(9), "Spreading", "alert"),
    ReachMark(_at(9.1), "Back one rung", "decision"),
)
MIXED = [
    ReachPoint(_at(9), "foot", 7, "left"),
    ReachPoint(_at(10), "lower_leg", 6, "left"),
    ReachPoint(_at(11), None, 5),
    ReachPoint(_at(12), "leg", 5),
    ReachPoint(_at(13), "thigh", None, "left", uncertain=True),
    ReachPoint(_at(14), "back", 2.5, "both"),
    ReachPoint(_at(40), "foot", 9),
]


@pytest.mark.parametrize("size", SIZES)
def test_one_dot_a_report_that_names_a_level(size: str) -> None:
    assert len(_by_class(_draw(MIXED, size=size), "reach-dot")) == 4


@pytest.mark.parametrize("size", SIZES)
def test_leg_without_a_level_is_a_reach_and_never_a_dot(size: str) -> None:
    svg = _draw([ReachPoint(_at(11), "leg", 5)], size=size)
    assert len(_by_class(svg, "reach-span")) == 1
    assert _by_class(svg, "reach-dot") == []


@pytest.mark.parametrize("size", SIZES)
def test_areas_go_down_from_the_back_to_the_foot(size: str) -> None:
    points = [ReachPoint(_at(14 + n / 2), a, 4) for n, a in enumerate(AREAS)]
    tops = [_top(dot) for dot in _by_class(_draw(points, size=size), "reach-dot")]
    assert tops == sorted(tops)
    steps = [round(b - a, 1) for a, b in pairwise(tops)]
    assert min(steps) > 0 and max(steps) - min(steps) <= 0.2


def test_time_goes_across() -> None:
    svg = _draw([ReachPoint(_at(n), "knee", 4) for n in (15, 2, 9)])
    starts = [float(d.get("d", "")[1:].split()[0]) for d in _by_class(svg, "reach-dot")]
    assert starts == sorted(starts)
    left, right = 156, 704
    assert starts[0] + 4.1 == pytest.approx(left + 2 / 21 * (right - left), abs=0.2)


def test_shade_deepens_with_pain_and_the_number_says_it_too() -> None:
    svg = _draw([ReachPoint(_at(2 + n), "knee", n) for n in range(11)])
    fills = [dot.get("fill") for dot in _by_class(svg, "reach-dot")]
    assert fills == [f"var(--reach-{n}, {RAMP[n]})" for n in range(11)]
    said = [e.text for e in _by_class(svg, "reach-number")]
    assert sorted(said, key=lambda w: int(w or 0)) == [str(n) for n in range(11)]


def test_ramp_is_one_hue_from_light_to_dark() -> None:
    light = [sum(bytes.fromhex(color[1:])) for color in RAMP]
    assert light == sorted(light, reverse=True)
    assert all(color[5:7] >= color[3:5] >= color[1:3] for color in RAMP)


@pytest.mark.parametrize(
    ("side", "points"), [(None, 0), ("left", 1), ("right", 1), ("both", 2)]
)
def test_side_is_a_shape_and_not_a_color(side: str | None, points: int) -> None:
    (dot,) = _by_class(_draw([ReachPoint(_at(3), "knee", 4, side)]), "reach-dot")
    assert dot.get("d", "").count("L") == points * 2


def test_a_report_without_a_number_or_level_for_sure_is_hollow() -> None:
    points = [
        ReachPoint(_at(1), "knee", None),
        ReachPoint(_at(2), "knee", 4, uncertain=True),
    ]
    fills = [dot.get("fill") for dot in _by_class(_draw(points), "reach-unsure")]
    assert fills == ["none", "none"]


def test_numbers_are_thinned_where_they_would_overlap() -> None:
    hourly = [ReachPoint(_at(20 + n / 24), "knee", 5) for n in range(20)]
    svg = _draw(hourly)
    said = _by_class(svg, "reach-number")
    assert len(_by_class(svg, "reach-dot")) == 20
    assert 1 <= len(said) <= 4
    newest = max(float(e.get("x", "0")) for e in said)
    assert newest == pytest.approx(156 + (20 + 19 / 24) / 21 * 548, abs=0.1)


@pytest.mark.parametrize("size", ["full", "narrow"])
def test_no_two_numbers_touch_on_dense_days(size: str) -> None:
    said = _by_class(_draw(_dense(), size=size), "reach-number")
    places = [(float(e.get("x", "0")), float(e.get("y", "0"))) for e in said]
    rows: dict[float, list[float]] = {}
    for x, y in places:
        rows.setdefault(y, []).append(x)
    gaps = [b - a for row in rows.values() for a, b in pairwise(sorted(row))]
    assert min(gaps) > 9


def test_pain_line_breaks_where_two_days_are_silent() -> None:
    days = (1, 2, 3, 8, 9)
    lines = _by_class(_draw([ReachPoint(_at(d), None, 4) for d in days]), "reach-pain")
    assert [len(line.get("points", "").split()) for line in lines] == [3, 2]


def test_pain_ten_is_above_pain_zero_and_neither_leaves_the_panel() -> None:
    points = [ReachPoint(_at(n), None, p) for n, p in enumerate((0, 10, 99))]
    (line,) = _by_class(_draw(points), "reach-pain")
    ys = [float(pair.split(",")[1]) for pair in line.get("points", "").split()]
    assert ys[0] - ys[1] == 84 and ys[1] == ys[2]


def test_marks_stand_on_the_time_axis_each_with_its_own_sign() -> None:
    svg = _draw(MIXED, MARKS)
    signs = _by_class(svg, "reach-mark")
    assert [s.get("class", "").split()[1] for s in signs] == [
        "reach-dose",
        "reach-alert",
        "reach-decision",
    ]
    shapes = [s.find("{http://www.w3.org/2000/svg}path") for s in signs]
    assert len({s.get("d", "")[-12:] for s in shapes if s is not None}) == 3


def test_marks_close_in_time_do_not_cover_one_another() -> None:
    marks = tuple(ReachMark(_at(5 + n / 50), f"Mark {n}", "dose") for n in range(3))
    signs = _by_class(_draw([], marks), "reach-mark")
    counts = [sign.findall("{http://www.w3.org/2000/svg}text")[0] for sign in signs]
    assert len({count.get("y") for count in counts}) == 3


@pytest.mark.parametrize("size", SIZES)
def test_labels_are_escaped_and_stay_well_formed(size: str) -> None:
    svg = _draw(MIXED, (ReachMark(_at(2), NASTY, "decision"),), size=size)
    assert "<script" not in svg and "\x00" not in svg
    svg.encode("utf-8")
    assert _parse(svg).tag.endswith("svg")


@pytest.mark.parametrize("size", SIZES)
def test_chart_passes_a_strict_content_policy(size: str) -> None:
    root = _parse(_draw(MIXED, MARKS, size=size))
    names = {name for e in root.iter() for name in e.attrib}
    tags = {e.tag.rpartition("}")[2] for e in root.iter()}
    assert "style" not in names and not any(name.startswith("on") for name in names)
    assert not tags & {"style", "script", "image", "use", "foreignObject", "a"}


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("language", sorted(WORDS))
def test_chart_names_and_describes_itself(size: str, language: str) -> None:
    root = _parse(_draw(MIXED, size=size, language=language, prefix="row-7"))
    title, desc = list(root)[:2]
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    assert title.get("id") == "row-7-t"
    said = WORDS[language]
    assert said.area("foot") in (desc.text or "")
    assert said.area("back") in (desc.text or "")


def test_the_days_on_the_axis_are_local_across_a_clock_change() -> None:
    svg = _draw([])
    for day in ("Oct 20", "Oct 28", "Nov 1", "Nov 5"):
        assert f">{day}</text>" in svg


def test_an_empty_chart_says_that_nothing_was_said() -> None:
    svg = _draw([], language="es")
    assert WORDS["es"].desc_none in svg
    assert _by_class(svg, "reach-dot") == []


def test_small_shows_the_last_fourteen_days_and_two_words() -> None:
    points = [ReachPoint(_at(n + 0.5), "knee", 4) for n in range(21)]
    svg = _draw(points, MARKS, size="small")
    root = _parse(svg)
    assert len(_by_class(svg, "reach-dot")) == 14
    assert (root.get("width"), root.get("height")) == ("180", "63.9")
    assert [e.text for e in root.iter() if e.tag.endswith("text")] == ["back", "foot"]


def test_same_input_in_any_order_draws_the_same_text() -> None:
    points = [*MIXED, ReachPoint(_at(14), "knee", 2.5)]
    once = _draw(points, MARKS)
    assert once == _draw(points[::-1], MARKS[::-1]) == _draw(points, MARKS)


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"end": START}, "end must be later"),
        ({"start": START.replace(tzinfo=None)}, "time zone"),
        ({"prefix": '"><x'}, "prefix"),
        ({"size": "huge"}, "size must be one of"),
    ],
)
def test_a_chart_that_cannot_be_drawn_says_why(
    given: dict[str, object], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        _draw(MIXED, **given)


def test_the_table_holds_the_same_reports_in_local_time_and_words() -> None:
    rows = reach_table(MIXED, MARKS, zone=ZONE, language="fr")
    assert len(rows) == len(MIXED) + len(MARKS)
    assert [row.at for row in rows] == sorted((r.at for r in rows), reverse=True)
    first = next(row for row in rows if row.area == "pied" and row.pain == "7")
    assert first.side == "gauche"
    assert first.at.utcoffset() == timedelta(hours=-4)
    by_area = {row.area: row for row in rows}
    assert by_area["cuisse"].pain == "sans chiffre"
    assert by_area["non dit"].pain == "5"
    assert by_area["jambe, hauteur non dite"].side == ""


def test_the_table_carries_what_the_clinic_did() -> None:
    notes = [r for r in reach_table([], MARKS, zone=ZONE) if r.note]
    assert [(r.kind, r.note) for r in notes] == [
        ("Decision", "Back one rung"),
        ("Alert", "Spreading"),
        ("Dose", "Prone on elbows, 30 s x 3"),
    ]


def test_every_area_side_and_kind_has_a_word_in_every_language() -> None:
    for said in WORDS.values():
        assert set(said.areas) == {*AREAS, "leg"}
        assert set(said.sides) == {"left", "right", "both"}
        assert set(said.kinds) == {"dose", "decision", "alert", "report"}
        assert len(said.months.split()) == 12
