"""The key under the reach chart: shades, side shapes, and what each mark was."""

from collections.abc import Iterator, Sequence
from textwrap import wrap

from programs.logic.body import LEG
from programs.logic.reach_layout import Frame
from programs.logic.reach_panels import SOFT, sign_look
from programs.logic.reach_points import ReachMark, ReachPoint
from programs.logic.reach_shapes import (
    RAMP,
    Look,
    dot_path,
    mark_path,
    shade,
    tag,
    text,
)
from programs.logic.reach_words import ReachWords

_SWATCH = 13
# Mean width of a letter, as a share of the font size, in common sans-serif faces.
_LETTER = 0.58
_MARGIN, _LABEL_AT = 12.0, 46.0


def legend(
    frame: Frame,
    points: Sequence[ReachPoint],
    *,
    marks: Sequence[ReachMark],
    said: ReachWords,
    top: float,
) -> tuple[str, float]:
    """The key below `top`, and the height of the whole picture with it."""
    step = frame.layout.legend_line
    lines = [_shades(frame, said), *_shapes(frame, points, said)]
    for count, mark in enumerate(marks, start=1):
        lines += _mark_lines(frame, mark, said=said, count=count)
    placed = (
        tag("g", inside, transform=f"translate(0 {top + step * count + 14:.0f})")
        for count, inside in enumerate(lines)
    )
    inside = "".join(placed)
    return tag("g", inside, class_="reach-key"), top + step * len(lines) + 10


def _shades(frame: Frame, said: ReachWords) -> str:
    start = 6.0 + _wide(said.pain, frame) + 20
    look: Look = {"width": _SWATCH, "height": 12, "stroke": "currentColor"}
    parts = [
        tag("rect", x=start + step * _SWATCH, y=-6, fill=shade(step), **look)
        for step in range(len(RAMP))
    ]
    parts.append(text(said.pain, 6, 4, opacity=SOFT))
    parts.append(text("0", start - 6, 4, text_anchor="end"))
    parts.append(text("10", start + len(RAMP) * _SWATCH + 5, 4))
    return tag("g", *parts, stroke_width=0.5)


def _shapes(
    frame: Frame, points: Sequence[ReachPoint], said: ReachWords
) -> Iterator[str]:
    """The shapes this chart uses, on as many lines as they need."""
    parts: list[str] = []
    x = _MARGIN
    for shape, name in _entries(frame, points, said):
        wide = _wide(name, frame) + 34
        if parts and x + wide > frame.layout.width:
            yield "".join(parts)
            parts, x = [], _MARGIN
        parts.append(tag("g", shape, transform=f"translate({x:.0f} 0)"))
        parts.append(text(name, x + 14, 4, opacity=SOFT))
        x += wide
    if parts:
        yield "".join(parts)


def _entries(
    frame: Frame, points: Sequence[ReachPoint], said: ReachWords
) -> Iterator[tuple[str, str]]:
    sides = {point.side for point in points if point.located}
    for side, name in said.sides.items():
        if side in sides:
            yield _dot(frame, side, fill="currentColor"), name
    if any(p.located and (p.uncertain or p.pain is None) for p in points):
        yield _dot(frame, None, fill="none"), said.unsure
    if any(point.area == LEG for point in points):
        yield _leg(), said.area(LEG)


def _dot(frame: Frame, side: str | None, *, fill: str) -> str:
    path = dot_path(0, 0, radius=frame.layout.dot, side=side)
    look: Look = {"stroke": "currentColor", "stroke_width": 1.4}
    return tag("path", d=path, fill=fill, **look)


def _leg() -> str:
    look: Look = {"stroke": "currentColor", "stroke_dasharray": "3 3"}
    return tag("rect", x=-3, y=-8, width=6, height=16, rx=3, fill="none", **look)


def _mark_lines(
    frame: Frame, mark: ReachMark, *, said: ReachWords, count: int
) -> list[str]:
    """What a mark was, on one line or two; the rest is in the table."""
    day = said.date(mark.at.astimezone(frame.zone))
    room = int((frame.layout.width - _LABEL_AT) / (frame.layout.font * _LETTER))
    full = f"{day}, {said.kinds[mark.kind]}: {mark.label}"
    lines = wrap(full, room, max_lines=2, placeholder=" …")
    sign = tag("path", d=mark_path(mark.kind, _MARGIN, 0), **sign_look(mark.kind))
    lead = [sign + text(str(count), 24, 4), ""]
    return [
        before + text(words, _LABEL_AT, 4, opacity=SOFT)
        for before, words in zip(lead, lines, strict=False)
    ]


def _wide(words: str, frame: Frame) -> float:
    return len(words) * frame.layout.font * _LETTER
