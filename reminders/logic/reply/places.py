"""Where symptoms are: areas with state and feeling, ratings by area, overall."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from reminders.logic.reply.clauses import Placed, Range
from reminders.logic.reply.failing import failing_areas
from reminders.logic.reply.groups import TELLING, Group, grouped
from reminders.logic.reply.marks import Mark, bits_in
from reminders.logic.reply.network import bits_of
from reminders.logic.reply.pain import Rating
from reminders.logic.reply.reading import Reading
from reminders.logic.reply.states import (
    Segment,
    denied_state,
    feeling_in,
    feeling_of,
    is_denied,
    state_of,
)

_SADDLE = bits_of(("saddle",))
_ENDING = bits_of(("time.now", "ended"))
_INNER = frozenset({"saddle_numbness", "bladder_bowel", "sexual_function"})
_OVER = frozenset(("stopped", "vanished", "disappeared", "cleared"))
_OUT = frozenset(("out", "off", "oot"))
_BEYOND = frozenset(("below", "past", "under", "beyond", "beneath"))
_PLACING = TELLING | bits_of(("area",))


@dataclass(slots=True)
class Places:
    """What was found, each with the tokens it came from (still being gathered)."""

    areas: dict[str, tuple[str, Range]] = field(default_factory=dict)
    sensation: dict[str, tuple[str, Range]] = field(default_factory=dict)
    ratings: dict[str, tuple[float, Range]] = field(default_factory=dict)
    overall: list[tuple[str, Range, bool]] = field(default_factory=list)
    ended: set[str] = field(default_factory=set)
    earlier: set[str] = field(default_factory=set)
    continuing: set[str] = field(default_factory=set)
    narrowed: set[str] = field(default_factory=set)
    loose_feelings: list[Mark] = field(default_factory=list)


def read_places(reading: Reading, ratings: Placed[Rating]) -> Places:
    """Every segment's areas with what is said of them, later segments winning."""
    places = Places()
    for clause in reading.clauses:
        for segment in clause.segments:
            _read_segment(reading, places, ratings, segment)
    for area, mark in failing_areas(reading).items():
        if places.areas.get(area, ("gone",))[0] == "gone":
            places.areas[area] = ("present", (mark.start, mark.end))
    return places


def _read_segment(
    reading: Reading, places: Places, ratings: Placed[Rating], bounds: Range
) -> None:
    every = reading.between(*bounds)
    if not bits_in(every) & _PLACING:
        return
    marks = [m for m in every if reading.real(m) and not _is_inner(reading, m)]
    if len(marks) < len(every):
        places.earlier.update(_once(reading, every))
    if not bits_in(marks) & _PLACING:
        return
    segment = Segment(reading, marks, *bounds)
    left = _left_behind(reading, marks)
    if left:
        area = left.value("area") or ""
        places.earlier.add(area)
        if _is_out_of(reading, left):
            places.areas[area] = ("gone", (left.start, left.end))
        marks = [m for m in marks if m is not left]
        segment = Segment(reading, marks, *bounds)
    inside = {rating.start: rating for rating in ratings.between(*bounds)}
    if _is_earlier(marks, inside.values()):
        places.earlier |= {m.value("area") or "" for m in marks if m.is_a("area")}
        return
    for group in grouped(marks, inside):
        if group.areas:
            _settle(segment, places, group)
        elif not _of_the_last(segment, places, group):
            _loose(segment, places, group)


def _is_inner(reading: Reading, mark: Mark) -> bool:
    """The bum of "bum hole" is no buttock."""
    if not (reading.bits & _SADDLE and mark.is_a("area")):
        return False
    near = reading.nested.between(max(0, mark.start - 2), mark.end)
    around = (m for m in near if m.is_any(_SADDLE) and m.end - m.start > 1)
    return any(m.start == mark.start and m.end > mark.end for m in around)


def _once(reading: Reading, marks: Sequence[Mark]) -> set[str]:
    """The foot of "used to be in my foot": left by now, where a new place is told."""
    if not any(m.is_a("time.before") and m.is_a("time.long_ago") for m in marks):
        return set()
    areas = (m for m in marks if m.is_a("area") and reading.scopes.past[m.start])
    return {m.value("area") or "" for m in areas}


def _of_the_last(segment: Segment, places: Places, group: Group) -> bool:
    """ "right foot asleep, it is still numb", "numb toe, new": of the one place named.

    A change ("it's worse") is of the whole, so it waits for no place.
    """
    named = set(places.areas) | places.earlier
    if len(named) != 1 or any(m.is_a("body") for m in segment.marks):
        return False
    area = next(iter(named))
    stated = [m for m in group.said if segment.reading.stated(m)]
    feeling = feeling_in(segment.reading, stated)
    new = any(m.is_a("state.new") for m in stated)
    if feeling and _is_of_a_sign(segment, group.said):
        return False
    change = next((m.value("change") for m in stated if m.is_a("change")), None)
    if change and segment.reading.asked == "reach":
        places.areas[area] = (change, _range(stated))
        return True
    if change or not (feeling or new):
        return False
    where = _range(stated)
    if new or area not in places.areas or places.areas[area][0] == "gone":
        places.areas[area] = ("new" if new else "present", where)
    if feeling:
        places.sensation[area] = (feeling, where)
    return True


def _is_of_a_sign(segment: Segment, said: Sequence[Mark]) -> bool:
    """What is not felt there is the saddle's or the bladder's, and of no leg."""
    signs = (f for f in segment.reading.signs if f.asserted and f.sign.kind in _INNER)
    starts = {m.start for m in said}
    return any(at in starts for f in signs for at in range(f.start, f.end))


def _left_behind(reading: Reading, marks: Sequence[Mark]) -> Mark | None:
    """The foot of "moved from foot to calf"."""
    leaving = next((k for k, m in enumerate(marks) if m.is_a("move.from")), None)
    if leaving is None:
        return None
    areas = [mark for mark in marks[leaving + 1 :] if mark.is_a("area")]
    out = areas and _is_out_of(reading, areas[0])
    return areas[0] if len(areas) > 1 or out else None


def _is_out_of(reading: Reading, area: Mark) -> bool:
    """ "moved up out of the calf": that place is left, wherever it went."""
    before = (t.text for t in reading.tokens[max(0, area.start - 3) : area.start])
    return not _OUT.isdisjoint(before)


def _is_earlier(marks: Sequence[Mark], ratings: Iterable[Rating]) -> bool:
    """ "was in my foot", "yesterday it was calf": no place of today."""
    now = any(m.is_a("time.now") or m.is_a("change") or m.is_a("state") for m in marks)
    before = any(m.is_a("time.before") or m.is_a("time.was") for m in marks)
    rated = any(rating.now for rating in ratings)
    return before and not now and not rated


def _settle(segment: Segment, places: Places, group: Group) -> None:
    marks = segment.marks
    said = [*group.said, *(m for m in marks if m.is_a("symptom.pain"))]
    ended = any(m.is_any(_ENDING) for m in marks)
    only = any(m.is_a("pointer.only") for m in marks)
    feeling = feeling_in(segment.reading, said)
    for mark in group.areas:
        area = mark.value("area") or ""
        state = state_of(segment, group, mark, said)
        where = _range([mark, *group.said])
        if state == "unfelt":
            places.areas.setdefault(area, ("gone", where))
        elif state:
            places.areas[area] = (state, where)
        if state == "gone" and ended and _led_into(segment, mark):
            places.ended.add(area)
        if state == "present" and only:
            places.narrowed.add(area)
        if any(m.is_a("continuing") for m in marks):
            places.continuing.add(area)
        if feeling:
            places.sensation[area] = (feeling, where)
        if group.rating is not None and not is_denied(segment.reading, mark, group):
            places.ratings[area] = (group.rating.value, _with(mark, group.rating))


def _led_into(segment: Segment, area: Mark) -> bool:
    """ "gone from the foot", "nothing below the knee": a way, not "the foot is ok"."""
    tokens = segment.reading.tokens
    led = range(area.start - 2, area.start + 1)
    pointers = (m for m in segment.marks if m.is_a("pointer") or m.is_a("number.since"))
    if any(m.end in led for m in pointers):
        return True
    return tokens[area.start].text in _BEYOND


def _with(mark: Mark, rating: Rating) -> Range:
    return (min(mark.start, rating.start), max(mark.end, rating.end))


def _range(marks: Sequence[Mark]) -> Range:
    return (min(m.start for m in marks), max(m.end for m in marks))


def _loose(segment: Segment, places: Places, group: Group) -> None:
    """Words of change with no area are about the whole; feelings wait for a place."""
    reading, marks = segment.reading, segment.marks
    now = any(m.is_a("time.now") for m in marks)
    elsewhere = any(m.is_a("body") or m.is_a("matter") for m in marks)
    over = bool(group.said) and _is_over(segment)
    for mark in group.said:
        change = mark.value("change")
        if change and not elsewhere and not _arrives(reading, mark):
            denied = reading.scopes.negator[mark.start] >= 0
            value = denied_state(change) if denied else change
            places.overall.append((value, (mark.start, mark.end), now))
        if feeling_of(mark) and reading.stated(mark) and not over:
            places.loose_feelings.append(mark)


def _is_over(segment: Segment) -> bool:
    """ "tingling has stopped", "numbness gone"."""
    words = (t.text for t in segment.reading.tokens[segment.start : segment.end])
    return not _OVER.isdisjoint(words)


def _arrives(reading: Reading, mark: Mark) -> bool:
    """ "went down to 3" says no more than the 3; a sign has a course of its own."""
    after = reading.tokens[mark.end : mark.end + 3]
    led = bool(after) and after[0].text in ("to", "from")
    if led and any(token.kind == "number" for token in after[1:]):
        return True
    clause = reading.alarms.get(mark.start)
    if clause is None:
        return False
    return not any(m.is_a("symptom.pain") for m in reading.between(clause, mark.start))


def overall_of(places: Places) -> tuple[str, Range] | None:
    """What is said of now beats the rest; worse beats better beats same."""
    said = [each for each in places.overall if each[2]] or places.overall
    for value in ("worse", "better", "same"):
        for each in said:
            if each[0] == value:
                return (value, each[1])
    return None
