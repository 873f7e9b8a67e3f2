"""The parts of the reach chart that carry data: body rows, pain line, time axis."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta

from programs.logic.body import AREAS, LEG, ZONES
from programs.logic.reach_layout import LEG_FROM, LEG_TO, MOST_PAIN, Frame, zone_rows
from programs.logic.reach_points import ReachMark, ReachPoint
from programs.logic.reach_shapes import (
    Look,
    body_path,
    dot_path,
    escaped,
    line,
    mark_path,
    number,
    shade,
    tag,
    text,
)
from programs.logic.reach_words import ReachWords

FAINT, SOFT = 0.18, 0.75
# Two silent days are not a straight line between two pains.
PAIN_GAP = timedelta(hours=48)
_LABEL_HEIGHT = 12
_SIGN_ROOM, _SIGN_LEVELS, _SIGN_ROW = 24, 3, 17


def small_panel(frame: Frame, points: Sequence[ReachPoint], said: ReachWords) -> str:
    """Dots only, with a line and a word where the back and the foot are."""
    layout = frame.layout
    parts = []
    for area in (AREAS[0], AREAS[-1]):
        y = frame.y(area)
        parts.append(_area_name(frame, area, said))
        parts.append(line(layout.left, y, x2=layout.right, y2=y, opacity=FAINT))
    return "".join([*parts, *(_report(frame, point, said) for point in points)])


def body_panel(frame: Frame, points: Sequence[ReachPoint], said: ReachWords) -> str:
    """The body from back to toes down the side, a dot a report, numbers beside."""
    names = "".join(_area_name(frame, area, said) for area in AREAS)
    reports = "".join(_report(frame, point, said) for point in points)
    return _bands(frame) + _body(frame) + names + reports + _numbers(frame, points)


def pain_panel(frame: Frame, points: Sequence[ReachPoint], said: ReachWords) -> str:
    """The pain line, 0 to 10, broken where nobody answered for two days."""
    layout = frame.layout
    parts = [
        text(
            said.pain,
            layout.left,
            layout.pain_top - 7,
            class_="reach-name",
            opacity=SOFT,
        )
    ]
    for level in (0, MOST_PAIN // 2, MOST_PAIN):
        y = frame.pain_y(level)
        parts.append(line(layout.left, y, x2=layout.right, y2=y, opacity=FAINT))
        where: Look = {"text_anchor": "end", "opacity": SOFT}
        parts.append(text(str(level), layout.left - 6, y + 4, **where))
    parts += [_pain_line(frame, stretch) for stretch in _stretches(points)]
    return "".join(parts)


def time_axis(
    frame: Frame, marks: Sequence[ReachMark], said: ReachWords
) -> tuple[str, float]:
    """Days, doses and decisions along the bottom; the axis and its lower edge."""
    layout = frame.layout
    parts = []
    for day, x in frame.days():
        parts.append(line(x, layout.top, x2=x, y2=layout.axis + 4, opacity=FAINT))
        look: Look = {"opacity": SOFT, "text_anchor": "middle"}
        parts.append(text(said.date(day), _inside(x, frame), layout.axis + 17, **look))
    placed = _levels(frame, marks)
    for count, (mark, level) in enumerate(zip(marks, placed, strict=True), start=1):
        y = layout.axis + 32 + level * _SIGN_ROW
        parts.append(_sign(frame, mark, y=y, count=count))
    return "".join(parts), layout.axis + 22 + _SIGN_ROW * len(set(placed))


def _inside(x: float, frame: Frame) -> float:
    """Where a date is written: moved in at the edge, so that nothing is cut off.

    No farther than it must be, or it would run into the date before.
    """
    return min(x, frame.layout.width - 1.8 * frame.layout.font)


def _bands(frame: Frame) -> str:
    """A tint behind every other coarse zone: only a change of band is a change."""
    layout = frame.layout
    parts = []
    for zone in ZONES[::2]:
        first, rows = zone_rows(zone)
        parts.append(
            tag(
                "rect",
                class_="reach-band",
                x=layout.left,
                y=layout.top + first * layout.row,
                width=layout.right - layout.left,
                height=rows * layout.row,
                fill="currentColor",
                opacity=0.06,
            )
        )
    return "".join(parts)


def _body(frame: Frame) -> str:
    layout = frame.layout
    x, width = layout.body
    return tag(
        "path",
        class_="reach-body",
        d=body_path(x, width, top=layout.top, row=layout.row),
        fill="currentColor",
        fill_opacity=0.12,
        stroke="currentColor",
        stroke_width=1.5,
        opacity=0.5,
    )


def _area_name(frame: Frame, area: str, said: ReachWords) -> str:
    layout = frame.layout
    x = (layout.body[0] or layout.left) - 6
    y = frame.y(area) + layout.font * 0.34
    return text(said.area(area), x, y, text_anchor="end", class_="reach-name")


def _report(frame: Frame, point: ReachPoint, said: ReachWords) -> str:
    if point.area == LEG:
        return _span(frame, point, said)
    if not point.located or point.area is None:
        return ""
    layout = frame.layout
    x, y = frame.x(point.at), frame.y(point.area)
    hollow = point.uncertain or point.pain is None
    return tag(
        "path",
        *_hint(frame, point, said),
        class_="reach-dot reach-unsure" if hollow else "reach-dot",
        d=dot_path(x, y, radius=layout.dot, side=point.side),
        fill="none" if hollow else shade(point.pain),
        stroke="currentColor",
        stroke_width=1.6 if hollow else 0.9,
    )


def _span(frame: Frame, point: ReachPoint, said: ReachWords) -> str:
    """Somewhere from thigh to foot, so a dashed reach and no dot."""
    layout = frame.layout
    top, bottom = frame.y(LEG_FROM), frame.y(LEG_TO)
    return tag(
        "rect",
        *_hint(frame, point, said),
        class_="reach-span",
        x=frame.x(point.at) - layout.dot * 0.6,
        y=top - layout.dot,
        width=layout.dot * 1.2,
        height=bottom - top + layout.dot * 2,
        rx=layout.dot * 0.6,
        fill=shade(point.pain),
        fill_opacity=0.5,
        stroke="currentColor",
        stroke_dasharray="3 3",
        stroke_width=0.9,
    )


def _hint(frame: Frame, point: ReachPoint, said: ReachWords) -> tuple[str, ...]:
    """What a pointer resting on a dot reads; none in the small size."""
    if not frame.layout.pain_height:
        return ()
    at = point.at.astimezone(frame.zone)
    parts = [f"{said.date(at)} {at:%H:%M}", said.area(point.area)]
    parts += [said.score(point.pain), said.side(point.side)]
    return (tag("title", escaped(", ".join(part for part in parts if part))),)


def _numbers(frame: Frame, points: Sequence[ReachPoint]) -> str:
    """Pain beside each dot, newest first, leaving out what would overlap."""
    placed: list[_Label] = []
    for point in reversed(points):
        label = _label(frame, point)
        if label is not None and not any(label.covers(other) for other in placed):
            placed.append(label)
    size = frame.layout.font - 1
    look: Look = {"text_anchor": "middle", "class_": "reach-number", "font_size": size}
    return "".join(text(one.words, one.x, one.y, **look) for one in placed)


@dataclass(frozen=True, slots=True)
class _Label:
    words: str
    x: float
    y: float
    half: float

    def covers(self, other: "_Label") -> bool:
        near = abs(self.x - other.x) < self.half + other.half
        return near and abs(self.y - other.y) < _LABEL_HEIGHT


def _label(frame: Frame, point: ReachPoint) -> _Label | None:
    area = LEG_FROM if point.area == LEG else point.area
    if point.pain is None or area not in AREAS:
        return None
    words = number(point.pain)
    half = frame.layout.font * 0.3 * len(words) + 1.5
    y = frame.y(area) - frame.layout.dot - 3.5
    return _Label(words, x=frame.x(point.at), y=y, half=half)


def _stretches(points: Sequence[ReachPoint]) -> Iterator[list[ReachPoint]]:
    kept: list[ReachPoint] = []
    for point in points:
        if point.pain is None:
            continue
        if kept and point.at - kept[-1].at > PAIN_GAP:
            yield kept
            kept = []
        kept.append(point)
    if kept:
        yield kept


def _pain_line(frame: Frame, points: Sequence[ReachPoint]) -> str:
    places = [(frame.x(p.at), frame.pain_y(p.pain or 0)) for p in points]
    path = " ".join(f"{number(x)},{number(y)}" for x, y in places)
    look: Look = {
        "stroke": "currentColor",
        "stroke_width": 1.5,
        "stroke_linejoin": "round",
    }
    drawn = tag("polyline", class_="reach-pain", points=path, fill="none", **look)
    spots = [tag("circle", cx=x, cy=y, r=1.8, fill="currentColor") for x, y in places]
    return drawn + "".join(spots)


def _levels(frame: Frame, marks: Sequence[ReachMark]) -> list[int]:
    """A row below the axis for each mark, so that close ones do not overlap."""
    ends = [float("-inf")] * _SIGN_LEVELS
    levels = []
    for mark in marks:
        x = frame.x(mark.at)
        free = [level for level, end in enumerate(ends) if x - end >= _SIGN_ROOM]
        level = free[0] if free else ends.index(min(ends))
        ends[level] = x
        levels.append(level)
    return levels


def _sign(frame: Frame, mark: ReachMark, *, y: float, count: int) -> str:
    x = frame.x(mark.at)
    top = frame.layout.top
    stem = line(x, top, x2=x, y2=y - 8, stroke_dasharray="2 4", opacity=0.5)
    shape = tag("path", d=mark_path(mark.kind, x, y), **sign_look(mark.kind))
    counted = text(str(count), x + 10, y + 4, font_size=frame.layout.font - 2)
    inside = tag("title", escaped(mark.label)) + stem + shape + counted
    return tag("g", inside, class_=f"reach-mark reach-{mark.kind}")


def sign_look(kind: str) -> Look:
    """An alert is open where a dose and a decision are full: no color needed."""
    if kind == "alert":
        return {"fill": "none", "stroke": "currentColor", "stroke_width": 1.8}
    return {"fill": "currentColor", "stroke": "none"}
