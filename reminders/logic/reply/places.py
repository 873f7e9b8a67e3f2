"""Where symptoms are: areas with state and feeling, ratings by area, side, overall."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from reminders.logic.reply.clauses import Placed, Range
from reminders.logic.reply.lexicon import bits_of
from reminders.logic.reply.marks import Mark
from reminders.logic.reply.pain import Rating
from reminders.logic.reply.reading import Reading

_STRENGTH = ("gone", "new", "worse", "better", "same", "present")
_FEELINGS = {"numbness": "numb", "numb": "numb", "tingling": "tingling"}
_FEELINGS |= {"weakness": "weak", "weak": "weak"}
_ORDER_OF_FEELINGS = ("weak", "numb", "tingling")
_NEAR = 6
_BESIDE_A_BARE_AREA = bits_of(
    ("area", "scope", "time", "neg.pseudo", "ended", "number")
)
_TELLING = bits_of(("symptom", "change", "state"))
_PLACING = _TELLING | bits_of(("area",))


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
    loose_feelings: list[Mark] = field(default_factory=list)


@dataclass(slots=True)
class _Group:
    areas: list[Mark] = field(default_factory=list)
    said: list[Mark] = field(default_factory=list)
    rating: Rating | None = None

    def spoken(self) -> bool:
        return bool(self.said) or self.rating is not None


def read_places(reading: Reading, ratings: Placed[Rating]) -> Places:
    """Every segment's areas with what is said of them, later segments winning."""
    places = Places()
    for clause in reading.clauses:
        for segment in clause.segments:
            _read_segment(reading, places, ratings, segment)
    return places


@dataclass(frozen=True, slots=True)
class _Segment:
    """One segment, with the marks in it that are said of the client now."""

    reading: Reading
    marks: Sequence[Mark]
    start: int
    end: int


def _read_segment(
    reading: Reading, places: Places, ratings: Placed[Rating], bounds: Range
) -> None:
    marks = [m for m in reading.between(*bounds) if reading.real(m)]
    if not any(mark.is_any(_PLACING) for mark in marks):
        return
    segment = _Segment(reading, marks, *bounds)
    left = _left_behind(marks)
    if left:
        places.earlier.add(left.value("area") or "")
        marks = [m for m in marks if m is not left]
        segment = _Segment(reading, marks, *bounds)
    inside = {rating.start: rating for rating in ratings.between(*bounds)}
    if _is_earlier(marks, inside.values()):
        places.earlier |= {m.value("area") or "" for m in marks if m.is_a("area")}
        return
    for group in _groups(marks, inside):
        if group.areas:
            _settle(segment, places, group)
        else:
            _loose(segment, places, group)


def _left_behind(marks: Sequence[Mark]) -> Mark | None:
    """The foot of "moved from foot to calf"."""
    leaving = next((k for k, m in enumerate(marks) if m.is_a("move.from")), None)
    if leaving is None:
        return None
    areas = [mark for mark in marks[leaving + 1 :] if mark.is_a("area")]
    return areas[0] if len(areas) > 1 else None


def _is_earlier(marks: Sequence[Mark], ratings: Iterable[Rating]) -> bool:
    """ "was in my foot", "yesterday it was calf": no place of today."""
    now = any(m.is_a("time.now") or m.is_a("change") or m.is_a("state") for m in marks)
    before = any(m.is_a("time.before") or m.is_a("time.was") for m in marks)
    rated = any(rating.now for rating in ratings)
    return before and not now and not rated


def _groups(marks: Sequence[Mark], ratings: Mapping[int, Rating]) -> list[_Group]:
    """Areas with their words: words follow areas, or lead them, whichever began."""
    marks = [m for k, m in enumerate(marks) if not _becomes(m, marks[k + 1 : k + 2])]
    marks = [m for k, m in enumerate(marks) if not _travels(m, marks[k + 1 : k + 3])]
    places = {m.start: m for m in marks}
    order = sorted(set(places) | set(ratings))
    telling = [at for at in order if at in ratings or _tells(places[at])]
    first_area = next((at for at in order if _is_area(places.get(at))), None)
    leads = first_area is not None and (not telling or first_area < telling[0])
    groups = [_Group()]
    for at in order:
        _add(groups, places.get(at), ratings.get(at), leads=leads)
    return groups


def _becomes(mark: Mark, after: Sequence[Mark]) -> bool:
    """ "gone numb", "went worse": the going is only a verb before what it became."""
    follows = any(
        m.start == mark.end and (m.is_a("symptom") or m.is_a("change")) for m in after
    )
    return mark.is_a("state.gone") and follows


def _travels(mark: Mark, after: Sequence[Mark]) -> bool:
    """ "gone up the leg" is a way taken; "the pain went up" is a change."""
    return mark.is_a("move") and any(m.is_a("area") for m in after)


def _is_area(mark: Mark | None) -> bool:
    return mark is not None and mark.is_a("area")


def _tells(mark: Mark) -> bool:
    if mark.is_a("symptom.pain") and not mark.is_a("change"):
        return False
    return mark.is_any(_TELLING)


def _add(
    groups: list[_Group], mark: Mark | None, rating: Rating | None, *, leads: bool
) -> None:
    group = groups[-1]
    if mark is not None and mark.is_a("area"):
        if leads and group.spoken() and group.areas:
            group = _Group()
            groups.append(group)
        group.areas.append(mark)
        if mark.is_a("symptom") or mark.is_a("state"):
            group.said.append(mark)
    elif rating is not None or (mark is not None and _tells(mark)):
        if not leads and group.areas and group.spoken() and rating is not None:
            group = _Group()
            groups.append(group)
        if rating is not None:
            group.rating = _higher(group.rating, rating)
        elif mark is not None:
            group.said.append(mark)


def _higher(a: Rating | None, b: Rating) -> Rating | None:
    if not b.now:
        return a
    return b if a is None or b.value > a.value else a


def _settle(segment: _Segment, places: Places, group: _Group) -> None:
    marks = segment.marks
    said = [*group.said, *(m for m in marks if m.is_a("symptom.pain"))]
    ending = ("time.now", "ended")
    ended = any(m.is_a(each) for m in marks for each in ending)
    feeling = _feeling(segment.reading, said)
    for mark in group.areas:
        area = mark.value("area") or ""
        state = _state(segment, group, mark, said)
        where = _range([mark, *group.said])
        if state:
            places.areas[area] = (state, where)
        if state == "gone" and ended:
            places.ended.add(area)
        if any(m.is_a("continuing") for m in marks):
            places.continuing.add(area)
        if feeling:
            places.sensation[area] = (feeling, where)
        if group.rating is not None and not _is_denied(segment.reading, mark, group):
            places.ratings[area] = (group.rating.value, _with(mark, group.rating))


def _with(mark: Mark, rating: Rating) -> Range:
    return (min(mark.start, rating.start), max(mark.end, rating.end))


def _range(marks: Sequence[Mark]) -> Range:
    return (min(m.start for m in marks), max(m.end for m in marks))


def _state(
    segment: _Segment, group: _Group, area: Mark, said: Sequence[Mark]
) -> str | None:
    reading = segment.reading
    cue = reading.scopes.negator[area.start]
    if cue >= 0 and group.rating is None and not any(m.start > cue for m in said):
        return "gone"
    if group.rating is not None and _is_denied(reading, area, group):
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
    only_denied_feelings = any(_feeling_of(m) for m in said)
    exercise = any(m.is_a("exercise") for m in segment.marks)
    if only_denied_feelings or (exercise and reading.asked != "reach"):
        return None
    return "present" if _pointed_at(segment, area) else None


def _is_denied(reading: Reading, area: Mark, group: _Group) -> bool:
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
        return [_denied_state(state) if denied else state]
    if mark.is_a("symptom.none"):
        return ["gone"]
    if mark.is_a("symptom"):
        if not denied:
            return ["present"]
        return [] if _feeling_of(mark) else ["gone"]
    return []


def _denied_state(state: str) -> str:
    """ "no worse" and "not better" are the same; "hasn't gone" is still there."""
    return "present" if state == "gone" else "same"


def _feeling_of(mark: Mark) -> str | None:
    return _FEELINGS.get(mark.value("symptom") or "")


def _feeling(reading: Reading, said: Sequence[Mark]) -> str | None:
    felt = {_feeling_of(mark) for mark in said if reading.stated(mark)}
    if any(m.is_a("state.gone") and reading.stated(m) for m in said):
        return None
    return next((each for each in _ORDER_OF_FEELINGS if each in felt), None)


def _pointed_at(segment: _Segment, area: Mark) -> bool:
    """A bare area counts when a pointing word leads it or the question was where."""
    if segment.reading.asked == "reach":
        return True
    marks = segment.marks
    before = [m for m in marks if area.start - _NEAR <= m.start < area.start]
    if any(m.is_a("pointer") or m.is_a("move") for m in before):
        return True
    said = [m for m in marks if not (m.is_a("filler") or m.is_a("side"))]
    alone = all(m.is_any(_BESIDE_A_BARE_AREA) for m in said)
    return alone and not _unread_near(segment, area)


def _unread_near(segment: _Segment, area: Mark) -> bool:
    """An unknown word beside a bare area: "back garden", "leg room"."""
    known = {k for m in segment.marks for k in range(m.start, m.end)}
    low, high = max(segment.start, area.start - 2), min(segment.end, area.end + 2)
    tokens = segment.reading.tokens
    return any(tokens[k].kind == "word" and k not in known for k in range(low, high))


def _loose(segment: _Segment, places: Places, group: _Group) -> None:
    """Words of change with no area are about the whole; feelings wait for a place."""
    reading, marks = segment.reading, segment.marks
    now = any(m.is_a("time.now") for m in marks)
    elsewhere = any(m.is_a("body") or m.is_a("matter") for m in marks)
    for mark in group.said:
        change = mark.value("change")
        if change and not elsewhere:
            denied = reading.scopes.negator[mark.start] >= 0
            value = _denied_state(change) if denied else change
            places.overall.append((value, (mark.start, mark.end), now))
        if _feeling_of(mark) and reading.stated(mark):
            places.loose_feelings.append(mark)


def overall_of(places: Places) -> tuple[str, Range] | None:
    """What is said of now beats the rest; worse beats better beats same."""
    said = [each for each in places.overall if each[2]] or places.overall
    for value in ("worse", "better", "same"):
        for each in said:
            if each[0] == value:
                return (value, each[1])
    return None
