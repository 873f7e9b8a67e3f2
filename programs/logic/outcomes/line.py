"""The course of a measure as a small line, drawn on the server."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import tzinfo
from html import escape
from typing import Final

from programs.logic.outcomes.values import Measure, Taken, shown

WIDTH, HEIGHT = 320, 110
LEFT, RIGHT, TOP, BOTTOM = 30, 40, 14, 22
_DAY: Final = "%b %-d"


def line(measure: Measure, taken: Sequence[Taken], *, zone: tzinfo, prefix: str) -> str:
    """An SVG of the scores over time, oldest first; "" when there is none.

    `prefix` makes its ids unique on the page. Every word is escaped.
    """
    if not taken:
        return ""
    points = [(_x(one, taken), _y(one.value, measure)) for one in taken]
    days = [one.at.astimezone(zone).strftime(_DAY) for one in taken]
    said = ", ".join(
        f"{day}: {shown(one.value)}" for day, one in zip(days, taken, strict=True)
    )
    path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    dots = "".join(
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.5"/>'
        f'<text class="value" x="{x:.1f}" y="{max(y - 7, 10):.1f}">{shown(one.value)}'
        "</text>"
        for (x, y), one in zip(points, taken, strict=True)
    )
    return (
        f'<svg class="course" viewBox="0 0 {WIDTH} {HEIGHT}" role="img"'
        f' aria-labelledby="{prefix}-t {prefix}-d">'
        f'<title id="{prefix}-t">{escape(measure.name)} over time</title>'
        f'<desc id="{prefix}-d">{escape(said)}</desc>{_scale(measure)}'
        f'<polyline class="path" points="{path}"/>{dots}{_days(points, days)}</svg>'
    )


def _x(one: Taken, taken: Sequence[Taken]) -> float:
    first, last = taken[0].at, taken[-1].at
    span = (last - first).total_seconds()
    part = (one.at - first).total_seconds() / span if span else 0.0
    return LEFT + part * (WIDTH - LEFT - RIGHT)


def _y(value: float, measure: Measure) -> float:
    part = (value - measure.low) / (measure.high - measure.low)
    return HEIGHT - BOTTOM - part * (HEIGHT - TOP - BOTTOM)


def _scale(measure: Measure) -> str:
    """The two ends of the scale, each with its number."""
    found = []
    for value in (measure.low, measure.high):
        y = _y(value, measure)
        found.append(
            f'<line class="scale" x1="{LEFT}" y1="{y:.1f}" x2="{WIDTH}" y2="{y:.1f}"/>'
            f'<text class="end" x="{LEFT - 5}" y="{y + 4:.1f}">{shown(value)}</text>'
        )
    return "".join(found)


def _days(points: Sequence[tuple[float, float]], days: Sequence[str]) -> str:
    """The first and the last day below the line."""
    ends = {0, len(days) - 1}
    return "".join(
        f'<text class="day" x="{points[index][0]:.1f}" y="{HEIGHT - 6}">'
        f"{escape(days[index])}</text>"
        for index in sorted(ends)
    )
