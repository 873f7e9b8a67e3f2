"""Areas with the words said of them: which word of a segment belongs to which."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from reminders.logic.reply.marks import Mark
from reminders.logic.reply.network import bits_of
from reminders.logic.reply.pain import Rating

_BECOME = bits_of(("symptom", "change", "ailing"))
TELLING = bits_of(("symptom", "change", "state", "ailing"))


@dataclass(slots=True)
class Group:
    """Areas, what is said of them and how they are rated."""

    areas: list[Mark] = field(default_factory=list)
    said: list[Mark] = field(default_factory=list)
    rating: Rating | None = None

    def spoken(self) -> bool:
        return bool(self.said) or self.rating is not None


def grouped(marks: Sequence[Mark], ratings: Mapping[int, Rating]) -> list[Group]:
    """Areas with their words: words follow areas, or lead them, whichever began."""
    marks = [m for k, m in enumerate(marks) if not _becomes(m, marks[k + 1 : k + 2])]
    marks = [m for k, m in enumerate(marks) if not _travels(m, marks[k + 1 : k + 3])]
    places = {m.start: m for m in marks}
    order = sorted(set(places) | set(ratings))
    telling = [at for at in order if at in ratings or _tells(places[at])]
    first_area = next((at for at in order if _is_area(places.get(at))), None)
    leads = first_area is not None and (not telling or first_area < telling[0])
    groups = [Group()]
    for at in order:
        _add(groups, places.get(at), ratings.get(at), leads=leads)
    return groups


def _becomes(mark: Mark, after: Sequence[Mark]) -> bool:
    """ "gone numb", "went worse": the going is only a verb before what it became."""
    follows = any(m.start == mark.end and m.is_any(_BECOME) for m in after)
    return mark.is_a("state.gone") and follows


def _travels(mark: Mark, after: Sequence[Mark]) -> bool:
    """ "gone up the leg" is a way taken; "the pain went up" is a change."""
    return mark.is_a("move") and any(m.is_a("area") for m in after)


def _is_area(mark: Mark | None) -> bool:
    return mark is not None and mark.is_a("area")


def _tells(mark: Mark) -> bool:
    if mark.is_a("symptom.pain") and not mark.is_a("change"):
        return False
    return mark.is_any(TELLING)


def _add(
    groups: list[Group], mark: Mark | None, rating: Rating | None, *, leads: bool
) -> None:
    group = groups[-1]
    if mark is not None and mark.is_a("area"):
        if leads and group.spoken() and group.areas:
            group = Group()
            groups.append(group)
        group.areas.append(mark)
        if mark.is_a("symptom") or mark.is_a("state"):
            group.said.append(mark)
    elif rating is not None or (mark is not None and _tells(mark)):
        if not leads and group.areas and group.spoken() and rating is not None:
            group = Group()
            groups.append(group)
        if rating is not None:
            group.rating = _higher(group.rating, rating)
        elif mark is not None:
            group.said.append(mark)


def _higher(a: Rating | None, b: Rating) -> Rating | None:
    if not b.now:
        return a
    return b if a is None or b.value > a.value else a
