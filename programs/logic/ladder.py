"""Places on a ladder of force, by exercise code; one rung is one change.

Membership lives with the exercises. What comes in here is that fact as a mapping of
code to (ladder, rung), so that no second list can disagree with it.
"""

from collections.abc import Mapping

from programs.logic.exercises import PARENT_LADDERS

Places = Mapping[str, tuple[str, int]]


def next_rung(code: str, places: Places) -> str | None:
    """Return the exercise one rung up the same ladder.

    None at the top, where a clinician's hands come next, and for an unknown code. A
    side-shifted exercise never steps onto the straight ladder: that would change the
    force and the side at once.
    """
    if code not in places:
        return None
    ladder, rung = places[code]
    return at(ladder, rung + 1, places)


def previous_rung(code: str, places: Places) -> str | None:
    """Return the exercise one rung down, on the straight ladder where none is shifted.

    None on the first rung (rest in the easiest position, review the direction) and
    for an unknown code.
    """
    if code not in places:
        return None
    ladder, rung = places[code]
    below = at(ladder, rung - 1, places)
    if below is None and ladder in PARENT_LADDERS:
        return at(PARENT_LADDERS[ladder], rung - 1, places)
    return below


def shifted(code: str, side: str, places: Places) -> str | None:
    """Return the variant with the hips shifted to a side; it inherits the rung.

    `side` is left or right. None where that rung has no such variant.
    """
    if code not in places:
        return None
    ladder, rung = places[code]
    return at(f"{PARENT_LADDERS.get(ladder, ladder)}_{side}", rung, places)


def at(ladder: str, rung: int, places: Places) -> str | None:
    """Return the exercise at a place; the first by code where several share it."""
    found = (code for code, place in places.items() if place == (ladder, rung))
    return min(found, default=None)


def is_step_up(old: str, new: str, places: Places) -> bool:
    """Return whether a change of exercise asks for more force, or cannot be compared.

    An exchange between ladders that share no rungs counts as a step up, because only
    a clinician may make it.
    """
    if old not in places or new not in places:
        return old != new
    (old_ladder, old_rung), (new_ladder, new_rung) = places[old], places[new]
    old_trunk = PARENT_LADDERS.get(old_ladder, old_ladder)
    if old_trunk != PARENT_LADDERS.get(new_ladder, new_ladder):
        return True
    return new_rung > old_rung


def is_step_down(old: str, new: str, places: Places) -> bool:
    """Return whether a change of exercise goes to a lower rung of the same trunk."""
    if old not in places or new not in places:
        return False
    (old_ladder, old_rung), (new_ladder, new_rung) = places[old], places[new]
    trunks = (PARENT_LADDERS.get(ladder, ladder) for ladder in (old_ladder, new_ladder))
    return len(set(trunks)) == 1 and new_rung < old_rung
