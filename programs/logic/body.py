"""Where symptoms can be, ordered from the spine outwards, and how far that is.

Change is judged on five coarse zones, because neighbouring areas (knee and calf)
are within the error of a person describing their own pain (common practice).
`leg` means "in the leg, level not said": it is never turned into a number.
"""

from collections.abc import Iterable, Mapping

AREAS = ("back", "buttock", "hip", "thigh", "knee", "lower_leg", "foot")
LEG = "leg"
ALL_AREAS = frozenset((*AREAS, LEG))
STATES = frozenset({"present", "new", "worse", "same", "better", "gone"})
SENSATIONS = ("tingling", "numb", "weak")
LEFT, RIGHT, BOTH = "left", "right", "both"
SIDES = frozenset({LEFT, RIGHT, BOTH})

ZONES = (
    ("back",),
    ("buttock", "hip"),
    ("thigh",),
    ("knee", "lower_leg"),
    ("foot",),
)
BACK_ZONE = 0
_ZONE = {area: place for place, areas in enumerate(ZONES) for area in areas}
_DEPTH = {area: place for place, area in enumerate(AREAS)}


def zone(area: str) -> int | None:
    """Return the coarse zone, 0 (back) to 4 (foot); None where no level is known."""
    return _ZONE.get(area)


def present(areas: Mapping[str, str] | Iterable[str]) -> tuple[str, ...]:
    """Return the areas that still hold a symptom, near to far, `leg` last.

    Given a mapping of area to state, an area that is "gone" is left out: a foot the
    pain has left must not be read as a foot in pain.
    """
    if isinstance(areas, Mapping):
        names = {area for area, state in areas.items() if state != "gone"}
    else:
        names = set(areas)
    known = sorted((n for n in names if n in _DEPTH), key=_DEPTH.__getitem__)
    return (*known, LEG) if LEG in names else tuple(known)


def distal_most(areas: Mapping[str, str] | Iterable[str]) -> str | None:
    """Return the area farthest from the spine, or None when none is named.

    `leg` is the answer when nothing at thigh level or below is named beside it: such
    a report reaches past the buttock, nobody knows how far, and calling it "back"
    would look like pain drawing in.
    """
    named = present(areas)
    known = [area for area in named if area != LEG]
    if LEG in named and (not known or _ZONE[known[-1]] < _ZONE["thigh"]):
        return LEG
    return known[-1] if known else None


def distance(start: str, end: str) -> int | None:
    """Return coarse zones from `start` to `end`; positive is farther from the spine.

    None when either level is unknown (`leg`).
    """
    first, second = zone(start), zone(end)
    if first is None or second is None:
        return None
    return second - first


def sides(side: str | None) -> tuple[str, ...]:
    """Return the single sides a word stands for; `both` is two, never a middle."""
    if side == BOTH:
        return (LEFT, RIGHT)
    return (side,) if side else ()
