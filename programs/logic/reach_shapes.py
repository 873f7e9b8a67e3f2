"""The marks of the reach chart as SVG text: shapes carry side, shade carries pain.

Attributes only, never `style`: a strict content policy drops inline styles. A color
is a custom property with a fallback, so a page's dark theme can turn the ramp over.
"""

import re
from functools import cache
from xml.sax.saxutils import escape, quoteattr

Look = dict[str, str | float]

# One hue from light to dark by pain, 0 to 10; readable on white by its outline.
RAMP = (
    "#eaf2f8",
    "#d8e6f1",
    "#c3d8e9",
    "#abc8df",
    "#90b5d3",
    "#749fc4",
    "#5888b3",
    "#3f709e",
    "#2b5986",
    "#1b426b",
    "#0e2c4e",
)


_SPECIAL = re.compile(r"[&<>\"\n\r\t]")
# What XML 1.0 forbids: control characters and lone surrogates.
_NOT_XML = re.compile(r"[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def number(value: float) -> str:
    """A coordinate or a pain score without a trailing zero."""
    return f"{value:.1f}".removesuffix(".0")


def tag(name: str, *inside: str, **attributes: str | float) -> str:
    """One element; `_` in a name is `-`, a trailing `_` is dropped, text is raw."""
    said = "".join(
        f" {_name(key)}={_quoted(value)}" for key, value in attributes.items()
    )
    if not inside:
        return f"<{name}{said}/>"
    return f"<{name}{said}>{''.join(inside)}</{name}>"


@cache
def _name(key: str) -> str:
    return key.rstrip("_").replace("_", "-")


def _quoted(value: str | float) -> str:
    """Most values are numbers and paths, which hold nothing to escape."""
    if not isinstance(value, str):
        return f'"{number(value)}"'
    return quoteattr(value) if _SPECIAL.search(value) else f'"{value}"'


def escaped(words: str) -> str:
    """Words safe inside an element; characters XML cannot hold become a space."""
    return escape(_NOT_XML.sub(" ", words))


def text(words: str, x: float, y: float, **attributes: str | float) -> str:
    """Words at a place, escaped."""
    kept = {"fill": "currentColor", **attributes}
    return tag("text", escaped(words), x=x, y=y, **kept)


def line(x1: float, y1: float, *, x2: float, y2: float, **kept: str | float) -> str:
    """A straight line in the color of the text around it."""
    look = {"stroke": "currentColor", **kept}
    return tag("line", x1=x1, y1=y1, x2=x2, y2=y2, **look)


def shade(pain: float | None) -> str:
    """The fill of a pain score: a step of the ramp, none where nobody said one."""
    if pain is None:
        return "none"
    step = min(len(RAMP) - 1, max(0, round(pain)))
    return f"var(--reach-{step}, {RAMP[step]})"


def dot_path(x: float, y: float, *, radius: float, side: str | None) -> str:
    """A round dot, drawn out to a point on the side the pain is on."""
    r, tip, edge = radius, radius * 1.75, radius * 0.75
    rise = (r**2 - edge**2) ** 0.5
    left = f"L{number(x - tip)} {number(y)}L" if side in ("left", "both") else None
    right = f"L{number(x + tip)} {number(y)}L" if side in ("right", "both") else None
    arc = f"A{number(r)} {number(r)} 0 0 1 "
    corners = [(x - edge, y - rise), (x + edge, y - rise)]
    corners += [(x + edge, y + rise), (x - edge, y + rise)]
    nw, ne, se, sw = (f"{number(px)} {number(py)}" for px, py in corners)
    return f"M{nw}{arc}{ne}{right or arc}{se}{arc}{sw}{left or arc}{nw}Z"


def mark_path(kind: str, x: float, y: float) -> str:
    """The sign of a mark: square for a dose, diamond for a decision, else a peak."""
    at = f"{number(x)} {number(y)}"
    if kind == "dose":
        return f"M{number(x - 5)} {number(y - 5)}h10v10h-10Z"
    if kind == "decision":
        return f"M{number(x)} {number(y - 7)}l7 7l-7 7l-7 -7Z"
    return f"M{at}m0 -7l7 12h-14Z"


def body_path(x: float, width: float, *, top: float, row: float) -> str:
    """A person from the waist to the toes, seen from the side, one row an area."""

    def at(across: float, down: float) -> str:
        return f"{number(x + across * width / 46)} {number(top + down * row)}"

    def curve(*points: tuple[float, float]) -> str:
        return "C" + " ".join(at(*point) for point in points)

    return "".join(
        (
            f"M{at(16, 0)}",
            curve((22, 0.4), (22, 0.8), (16, 1.1)),
            curve((2, 1.5), (2, 2.4), (12, 2.8)),
            curve((13, 3.4), (15, 3.9), (17, 4.4)),
            curve((9, 5.0), (12, 5.7), (18, 6.2)),
            curve((16, 6.5), (13, 6.95), (19, 6.95)),
            f"L{at(42, 6.95)}",
            curve((46, 6.8), (40, 6.6), (28, 6.25)),
            curve((28, 5.6), (31, 5.2), (31, 4.6)),
            curve((34, 4.4), (33, 4.1), (32, 3.9)),
            curve((38, 3.2), (42, 2.6), (40, 1.9)),
            curve((44, 1.2), (42, 0.6), (38, 0)),
        )
    )
