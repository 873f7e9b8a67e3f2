"""The reach chart: how far pain reaches, report by report, and how strong it is.

Dots climbing toward the back are pain drawing in (centralizing); dots sinking are
pain spreading. Plain values in, SVG text out; the same input gives the same text.
"""

import re
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta, tzinfo
from typing import Literal

from programs.logic.reach_layout import LAYOUTS, Frame
from programs.logic.reach_legend import legend
from programs.logic.reach_panels import body_panel, pain_panel, small_panel, time_axis
from programs.logic.reach_points import ReachMark, ReachPoint, ReachRow, reach_table
from programs.logic.reach_shapes import escaped, number, tag
from programs.logic.reach_words import ReachWords, words

__all__ = ["ReachMark", "ReachPoint", "ReachRow", "reach_chart", "reach_table"]

SMALL_SPAN = timedelta(days=14)
_ID = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")


def reach_chart(
    points: Iterable[ReachPoint],
    marks: Iterable[ReachMark] = (),
    *,
    start: datetime,
    end: datetime,
    zone: tzinfo,
    size: Literal["full", "narrow", "small"] = "full",
    language: str = "en",
    prefix: str = "reach",
) -> str:
    """The chart from `start` to `end` (aware) as SVG text; dates are local to `zone`.

    `full` is 720 wide, `narrow` 360 for a phone, `small` fits a triage row: its last
    14 days, no words but back and foot. `prefix` begins the ids inside and must
    differ between charts on one page. Raises ValueError for a naive or empty period,
    an unknown size, or a prefix that is no id.
    """
    if not _ID.fullmatch(prefix):
        raise ValueError("prefix must be a letter, then letters, digits, - or _")
    frame = _frame(start, end, zone=zone, size=size)
    shown = sorted((p for p in points if frame.holds(p.at)), key=_point_order)
    noted = sorted((m for m in marks if frame.holds(m.at)), key=_mark_order)
    said = words(language)
    if size == "small":
        inside, height = small_panel(frame, shown, said), frame.layout.bottom + 5
    else:
        inside, height = _panels(frame, shown, marks=noted, said=said)
    head = _head(frame, shown, said=said, prefix=prefix)
    return _svg(head + inside, size=size, prefix=prefix, height=height)


def _point_order(point: ReachPoint) -> tuple[datetime, str, float, str]:
    # Two reports of one minute must not swap places between two page loads.
    return point.at, point.area or "", point.pain or 0, point.side or ""


def _mark_order(mark: ReachMark) -> tuple[datetime, str, str]:
    return mark.at, mark.kind, mark.label


def _frame(start: datetime, end: datetime, *, zone: tzinfo, size: str) -> Frame:
    if start.tzinfo is None or end.tzinfo is None:
        raise ValueError("start and end must carry a time zone")
    if end <= start:
        raise ValueError("end must be later than start")
    if size not in LAYOUTS:
        raise ValueError(f"size must be one of {', '.join(LAYOUTS)}")
    if size == "small":
        start = max(start, end - SMALL_SPAN)
    return Frame(layout=LAYOUTS[size], start=start, end=end, zone=zone)


def _panels(
    frame: Frame,
    points: Sequence[ReachPoint],
    *,
    marks: Sequence[ReachMark],
    said: ReachWords,
) -> tuple[str, float]:
    axis, below = time_axis(frame, marks, said)
    key, height = legend(frame, points, marks=marks, said=said, top=below)
    body = body_panel(frame, points, said)
    return body + pain_panel(frame, points, said) + axis + key, height


def _svg(inside: str, *, size: str, prefix: str, height: float) -> str:
    layout = LAYOUTS[size]
    return tag(
        "svg",
        inside,
        xmlns="http://www.w3.org/2000/svg",
        class_=f"reach reach-{size}",
        viewBox=f"0 0 {layout.width} {number(height)}",
        width=layout.width,
        height=height,
        role="img",
        aria_labelledby=f"{prefix}-t {prefix}-d",
        font_size=layout.font,
    )


def _head(
    frame: Frame, points: Sequence[ReachPoint], *, said: ReachWords, prefix: str
) -> str:
    ends = (frame.start, frame.end)
    first, last = (said.date(at.astimezone(frame.zone)) for at in ends)
    title = said.title.format(start=first, end=last)
    return tag("title", escaped(title), id=f"{prefix}-t") + tag(
        "desc", escaped(_summary(points, said)), id=f"{prefix}-d"
    )


def _summary(points: Sequence[ReachPoint], said: ReachWords) -> str:
    located = [point for point in points if point.located]
    if not located:
        return said.desc_none
    ends = ((said.first, located[0]), (said.last, located[-1]))
    parts = [
        form.format(area=said.area(point.area), pain=said.score(point.pain))
        for form, point in ends
    ]
    return " ".join([said.desc.format(count=len(located)), *parts, said.direction])
