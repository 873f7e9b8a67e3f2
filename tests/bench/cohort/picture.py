"""The bench as a picture: what is found against what is raised for nothing."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from html import escape
from math import log10

from programs.logic import pain_course
from reminders.simulation import courses
from tests.bench.cohort.figures import Figures, pooled, run
from tests.bench.cohort.rules import ours

WIDTH, HEIGHT = 640, 400
LEFT, RIGHT, TOP, BOTTOM = 64, 24, 84, 56
LOWEST = 0.5
LEAST, MOST = 0.05, 50.0
SCORES = (2.3, 2.6, 2.9, 3.3, 3.7, 4.1, 4.6)
SWEPT = (courses.PAIN_ONLY_WORSENING, courses.PLATEAU)
TICKS = (0.1, 0.5, 1, 2, 5, 10, 20, 50)


@dataclass(frozen=True, slots=True)
class Point:
    """A rule's place: false alerts a hundred client-days, share found."""

    name: str
    false: float
    found: float


def sweep(*, count: int, seed: int) -> list[Point]:
    """Return our pain rule over its threshold, on plateau and pain-only worsening."""
    points = []
    for value in SCORES:
        with _score(value):
            found = run(ours, SWEPT, count=count, seed=seed)
        points.append(pain_point(f"{value:g}", found))
    return points


def pain_point(name: str, figures: Figures) -> Point:
    """Return the place of a rule in the pain half of the picture."""
    return Point(
        name,
        figures[courses.PLATEAU].false_per_100,
        figures[courses.PAIN_ONLY_WORSENING].sensitivity or 0.0,
    )


def reach_point(name: str, figures: Figures) -> Point:
    """Return the place of a rule for spreading, beside all stable kinds."""
    found = figures[courses.PERIPHERALIZER].sensitivity or 0.0
    return Point(name, pooled(figures), found)


@contextmanager
def _score(value: float) -> Iterator[None]:
    kept = pain_course.SURE_SCORE
    pain_course.SURE_SCORE = value
    try:
        yield
    finally:
        pain_course.SURE_SCORE = kept


def svg(
    curve: Sequence[Point], pain: Sequence[Point], reach: Sequence[Point], note: str
) -> str:
    """Return the picture; the first of `pain` and of `reach` is our operating point."""
    title = "Found against false alerts, synthetic clients"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}"'
        ' role="img" font-family="sans-serif" font-size="12" fill="#1d2b36">',
        f"<title>{escape(title)}</title>",
        f"<desc>{escape(_described(pain, reach))}</desc>",
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#ffffff"/>',
        f'<text x="{LEFT}" y="22" font-size="15">{escape(title)}</text>',
        f'<text x="{LEFT}" y="40">{escape(note)}</text>',
        *_axes(),
        _line(curve),
        *(each for at, p in enumerate(pain) for each in _mark(p, at, round_=True)),
        *(each for at, p in enumerate(reach) for each in _mark(p, at, round_=False)),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _described(pain: Sequence[Point], reach: Sequence[Point]) -> str:
    told = [
        f"{what}, {p.name}: {100 * p.found:.0f} % found,"
        f" {p.false:.2f} false alerts a hundred client-days"
        for what, points in (("pain", pain), ("reach", reach))
        for p in points
    ]
    return "; ".join(told) + "."


def _x(false: float) -> float:
    place = log10(min(MOST, max(LEAST, false)) / LEAST) / log10(MOST / LEAST)
    return round(LEFT + place * (WIDTH - LEFT - RIGHT), 1)


def _y(found: float) -> float:
    share = (1 - max(LOWEST, found)) / (1 - LOWEST)
    return round(TOP + share * (HEIGHT - TOP - BOTTOM), 1)


def _axes() -> Iterator[str]:
    for share in (0.5, 0.6, 0.7, 0.8, 0.9, 1):
        y = _y(share)
        yield f'<path d="M{LEFT} {y}H{WIDTH - RIGHT}" stroke="#d5dce2"/>'
        yield f'<text x="{LEFT - 8}" y="{y + 4}" text-anchor="end">{share:.0%}</text>'
    foot = HEIGHT - BOTTOM
    for tick in TICKS:
        x = _x(tick)
        yield f'<path d="M{x} {foot}v5" stroke="#1d2b36"/>'
        yield f'<text x="{x}" y="{foot + 19}" text-anchor="middle">{tick:g}</text>'
    yield (
        f'<text x="{LEFT}" y="{HEIGHT - 14}">false alerts a hundred client-days'
        " (log scale); circles pain, squares reach, filled ours</text>"
    )


def _line(curve: Sequence[Point]) -> str:
    places = " ".join(f"{_x(p.false)},{_y(p.found)}" for p in curve)
    return f'<polyline points="{places}" fill="none" stroke="#2f6f9f"/>'


def _mark(point: Point, place: int, *, round_: bool) -> Iterator[str]:
    """Draw a rule; the first is ours, filled, and names stand clear of each other."""
    x, y, fill = _x(point.false), _y(point.found), "#ffffff" if place else "#2f6f9f"
    look = f'fill="{fill}" stroke="#2f6f9f" stroke-width="2"'
    if round_:
        yield f'<circle cx="{x}" cy="{y}" r="6" {look}/>'
    else:
        yield f'<rect x="{x - 6}" y="{y - 6}" width="12" height="12" {look}/>'
    at, anchor = (x - 10, "end") if x > WIDTH - 150 else (x + 10, "start")
    below = y - 12 if not round_ or place == 2 else y + 20
    name = escape(point.name)
    yield f'<text x="{at}" y="{below}" text-anchor="{anchor}">{name}</text>'
