"""How an area is: new, worse, better, same, gone or present, and what it feels."""

from collections.abc import Sequence
from dataclasses import dataclass

from reminders.logic.reply.groups import Group
from reminders.logic.reply.marks import Mark
from reminders.logic.reply.network import bits_of
from reminders.logic.reply.reading import Reading

_STRENGTH = ("new", "worse", "better", "same", "gone", "present")
_FEELINGS = {"numbness": "numb", "numb": "numb", "tingling": "tingling"}
_FEELINGS |= {"weakness": "weak", "weak": "weak"}
_ORDER_OF_FEELINGS = ("weak", "numb", "tingling")
_NEAR = 6
_BESIDE_A_BARE_AREA = bits_of(
    ("area", "scope", "time", "neg.pseudo", "ended", "number")
)


@dataclass(frozen=True, slots=True)
class Segment:
    """One segment, with the marks in it that are said of the client now."""

    reading: Reading
    marks: Sequence[Mark]
    start: int
    end: int


def state_of(
    segment: Segment, group: Group, area: Mark, said: Sequence[Mark]
) -> str | None:
    """The strongest of what is said of it, None if nothing is.

    "unfelt" is a feeling denied there: gone, unless another word tells more.
    """
    reading = segment.reading
    cue = reading.scopes.negator[area.start]
    if cue >= 0 and group.rating is None and not any(m.start > cue for m in said):
        return "gone"
    if group.rating is not None and is_denied(reading, area, group):
        return "gone"
    states = {state for mark in said for state in _states_of(reading, mark)}
    if group.rating is not None:
        states.add("gone" if group.rating.value == 0 else "present")
    zero = group.rating is not None and group.rating.value == 0
    if "present" in states and "gone" in states and not (zero or _says_gone(said)):
        states.discard("gone")
    for each in _STRENGTH:
        if each in states:
            return each
    if any(feeling_of(m) for m in said):
        return "unfelt"
    before = [m for m in segment.marks if m.start < area.start]
    exercise = any(m.is_a("exercise") for m in before)
    if exercise and reading.asked != "reach":
        return None
    return "present" if _pointed_at(segment, area) else None


def is_denied(reading: Reading, area: Mark, group: Group) -> bool:
    """ "no back pain just leg 5": the denied area shares nothing with the rating."""
    negator = reading.scopes.negator
    return (
        negator[area.start] >= 0
        and group.rating is not None
        and negator[group.rating.start] < 0
        and all(negator[m.start] >= 0 for m in group.said)
    )


def _says_gone(said: Sequence[Mark]) -> bool:
    return any(m.is_a("state.gone") for m in said)


def _states_of(reading: Reading, mark: Mark) -> list[str]:
    denied = reading.scopes.negator[mark.start] >= 0
    state = mark.value("state") or mark.value("change")
    if state:
        return [denied_state(state) if denied else state]
    if mark.is_a("symptom.none"):
        return ["gone"]
    if mark.is_a("ailing"):
        return [] if denied else ["present"]
    if mark.is_a("symptom"):
        if not denied:
            return ["present"]
        return [] if feeling_of(mark) else ["gone"]
    return []


def denied_state(state: str) -> str:
    """ "no worse" and "not better" are the same; "hasn't gone" is still there."""
    return "present" if state == "gone" else "same"


def feeling_of(mark: Mark) -> str | None:
    """numb, tingling or weak."""
    return _FEELINGS.get(mark.value("symptom") or "")


def feeling_in(reading: Reading, said: Sequence[Mark]) -> str | None:
    """The gravest feeling stated there now."""
    felt = {feeling_of(mark) for mark in said if reading.stated(mark)}
    if any(m.is_a("state.gone") and reading.stated(m) for m in said):
        return None
    return next((each for each in _ORDER_OF_FEELINGS if each in felt), None)


def _pointed_at(segment: Segment, area: Mark) -> bool:
    """A bare area counts when a pointing word leads it or the question was where."""
    if segment.reading.asked == "reach":
        return True
    marks = segment.marks
    if any(m.is_a("pointer.only") and m.start == area.end for m in marks):
        return True
    before = [m for m in marks if area.start - _NEAR <= m.start < area.start]
    if any(m.is_a("pointer") or m.is_a("move") for m in before):
        return True
    said = [m for m in marks if not (m.is_a("filler") or m.is_a("side"))]
    alone = all(m.is_any(_BESIDE_A_BARE_AREA) for m in said)
    return alone and not _unread_near(segment, area)


def _unread_near(segment: Segment, area: Mark) -> bool:
    """An unknown word beside a bare area: "back garden", "leg room"."""
    known = {k for m in segment.marks for k in range(m.start, m.end)}
    low, high = max(segment.start, area.start - 2), min(segment.end, area.end + 2)
    tokens = segment.reading.tokens
    return any(tokens[k].kind == "word" and k not in known for k in range(low, high))
