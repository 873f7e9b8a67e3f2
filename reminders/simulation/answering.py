"""What a client says to one text, from the state of that day."""

import random
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final, Protocol
from zoneinfo import ZoneInfo

from reminders.simulation.courses import FARTHEST_ZONE, Course
from reminders.simulation.habits import Habits
from reminders.simulation.said import Answer, Said
from reminders.simulation.speaker import Speaker
from reminders.simulation.starting import StartingPoint, area_in_zone
from reminders.simulation.warned import WarningPlan

ASKS: Final = (
    "session",
    "safety",
    "reach",
    "pain",
    "who",
    "done",
    "opt_out",
    "start",
    "nothing",
)

_GIVES_PLACE: Final = 0.85
_GIVES_PLACE_UNASKED: Final = 0.45
_WRONG_BY_ONE: Final = 0.10
_ONLY_SAYS_LEG: Final = 0.15
_QUESTION: Final = 0.012
_ADMINISTRATIVE: Final = 0.005
_EMPTY: Final = 0.015
_TWICE: Final = 0.015


class Client(Protocol):
    """What an answer depends on."""

    @property
    def start(self) -> StartingPoint: ...
    @property
    def course(self) -> Course: ...
    @property
    def habits(self) -> Habits: ...
    @property
    def speaker(self) -> Speaker: ...
    @property
    def zone(self) -> str: ...
    @property
    def warning(self) -> WarningPlan | None: ...
    @property
    def opts_out_on(self) -> int | None: ...
    @property
    def told_on(self) -> list[int]: ...

    def is_in_need(self, day: int) -> bool: ...


def compose(
    client: Client, day: int, asks: str, *, at: datetime, rng: random.Random
) -> list[Answer]:
    """Return the answer of `day` to `asks`, sent at `at`, rarely with a second."""
    text, said = _say(client, day, asks, at=at, rng=rng)
    first = Answer(at, text, said)
    if said.topic != "report" or said.pain is None or rng.random() >= _TWICE:
        return [first]
    return [first, _second(client, first, rng)]


def _say(
    client: Client, day: int, asks: str, *, at: datetime, rng: random.Random
) -> tuple[str, Said]:
    """The first thing on the client's mind wins."""
    if asks == "start":
        return client.speaker.exact("start.yes", rng), Said(topic="start")
    if client.is_in_need(day):
        return _alarming(client, day, asks, at=at, rng=rng)
    if asks == "safety":
        return _on_safety(client, day, rng)
    if asks == "who":
        return _on_who(client, rng)
    if asks == "opt_out":
        return client.speaker.exact("safety.none", rng), Said(topic="chat")
    if client.opts_out_on is not None and day >= client.opts_out_on:
        return client.speaker.exact("optout.texts", rng), Said(topic="opt_out")
    return _ordinary(client, day, asks, at=at, rng=rng)


def _alarming(
    client: Client, day: int, asks: str, *, at: datetime, rng: random.Random
) -> tuple[str, Said]:
    assert client.warning is not None
    said = Said(topic="warning", warning=client.warning.kind)
    if asks == "session" and rng.random() < 0.4:
        said = replace(said, pain=_rating(client, day, at, rng))
    text = client.speaker.with_warning(said, rng)
    if asks == "safety":
        said = replace(said, safety="new")
        text = f"{client.speaker.exact('safety.new', rng)}. {text}"
    return text, said


def _on_safety(client: Client, day: int, rng: random.Random) -> tuple[str, Said]:
    fresh = bool(client.told_on) and day - client.told_on[-1] <= 2
    answer = "new" if fresh else "none"
    text = client.speaker.exact(f"safety.{answer}", rng)
    return text, Said(topic="safety", safety=answer)


def _on_who(client: Client, rng: random.Random) -> tuple[str, Said]:
    answer = "me" if rng.random() < 0.9 else "other"
    return client.speaker.exact(f"who.{answer}", rng), Said(topic="who", who=answer)


def _ordinary(
    client: Client, day: int, asks: str, *, at: datetime, rng: random.Random
) -> tuple[str, Said]:
    chance = rng.random()
    speaker = client.speaker
    if chance < _QUESTION:
        return speaker.phrase("question.ask", Said(), rng), Said(topic="question")
    if chance < _QUESTION + _ADMINISTRATIVE:
        said = Said(topic="administrative")
        return speaker.phrase("question.admin", said, rng), said
    if asks == "nothing" or chance < _QUESTION + _ADMINISTRATIVE + _EMPTY:
        return speaker.exact("chat.empty", rng), Said(topic="chat")
    if asks == "reach":
        area = _place(client, day, rng)
        said = Said(area=area, side=None if area == "back" else client.start.side)
        return speaker.phrase("area.forms", said, rng), said
    if asks == "pain":
        said = Said(pain=_rating(client, day, at, rng))
        return speaker.phrase("pain.forms", said, rng), said
    if asks == "done":
        said = Said(completion=_completion(client, rng))
        return speaker.phrase(f"done.{said.completion}", said, rng), said
    return speaker.report(_session(client, day, at, rng), rng)


def _session(client: Client, day: int, at: datetime, rng: random.Random) -> Said:
    """All that one session report could say; the speaker says some of it."""
    moved = _zones_moved(client.course, day, since=1)
    says_moved = moved != 0 and rng.random() < 0.6
    said = Said(
        completion=_completion(client, rng) if rng.random() < 0.9 else None,
        pain=_rating(client, day, at, rng) if rng.random() < 0.95 else None,
        area=_place(client, day, rng) if rng.random() < _GIVES_PLACE else None,
        side=client.start.side if rng.random() < 0.6 else None,
        overall=_overall(client.course, day, rng) if rng.random() < 0.6 else None,
        tingling_area=_tingling(client, rng),
    )
    if says_moved:
        said = _with_move(said, client, day, rng=rng)
    if _nothing_in(said):
        said = replace(said, pain=_rating(client, day, at, rng))
    if said.area in {None, "back"} and said.shift is None:
        said = replace(said, side=None)
    return _with_two_ratings(said, client, day, rng=rng)


def _nothing_in(said: Said) -> bool:
    return (said.completion, said.pain, said.area) == (None, None, None)


def _rating(client: Client, day: int, at: datetime, rng: random.Random) -> int:
    morning = at.astimezone(ZoneInfo(client.zone)).hour < 11
    return client.course.rating(day, rng, morning=morning)


def _completion(client: Client, rng: random.Random) -> str:
    if rng.random() < client.habits.diligence:
        return "done"
    return "partly" if rng.random() < 0.3 else "skipped"


def _place(client: Client, day: int, rng: random.Random) -> str:
    """The farthest area as the client names it: sometimes one off, or just "leg"."""
    zone = client.course.zone(day)
    if rng.random() < _WRONG_BY_ONE:
        zone = min(FARTHEST_ZONE, max(0, zone + rng.choice((-1, 1))))
    if zone >= 2 and rng.random() < _ONLY_SAYS_LEG:
        return "leg"
    return area_in_zone(zone, rng)


def _zones_moved(course: Course, day: int, *, since: int) -> int:
    return course.zone(day) - course.zone(max(0, day - since))


def _overall(course: Course, day: int, rng: random.Random) -> str:
    """Better, same or worse, as against the days just before."""
    moved = _zones_moved(course, day, since=2)
    if moved != 0:
        return "worse" if moved > 0 else "better"
    change = course.felt(day) - course.felt(max(0, day - 1))
    drift = course.level(day) - course.level(max(0, day - 3))
    if drift >= 0.8 or (change >= 1.5 and rng.random() < 0.5):
        return "worse"
    eased = course.level(day) <= course.pain_start - 1.5 and rng.random() < 0.5
    return "better" if drift <= -0.8 or change <= -1.5 or eased else "same"


def _with_move(said: Said, client: Client, day: int, *, rng: random.Random) -> Said:
    course = client.course
    outward = _zones_moved(course, day, since=1) > 0
    before = area_in_zone(course.zone(max(0, day - 1)), rng)
    return replace(
        said,
        shift="down_leg" if outward else "toward_back",
        area=area_in_zone(course.zone(day), rng),
        left_area=None if outward else before,
        tingling_area=None,
    )


def _tingling(client: Client, rng: random.Random) -> str | None:
    known = next(iter(client.start.sensation), None)
    return known if known is not None and rng.random() < 0.15 else None


def _with_two_ratings(
    said: Said, client: Client, day: int, *, rng: random.Random
) -> Said:
    """Some rate back and leg apart; as a leg clears, the back may be the sorer."""
    far = said.area not in {None, "back"} and said.shift is None
    if not far or said.pain is None or rng.random() >= 0.08:
        return said
    clearing = client.course.level(day) < client.course.pain_start - 1
    gap = (
        rng.choice((1, 2)) if clearing and rng.random() < 0.3 else rng.choice((-1, -2))
    )
    back = min(10, max(0, said.pain + gap))
    return replace(
        said,
        pain=max(said.pain, back),
        leg_pain=said.pain,
        back_pain=back,
        overall=None,
        tingling_area=None,
    )


def _second(client: Client, first: Answer, rng: random.Random) -> Answer:
    """A correction of the rating, or a courtesy, some minutes later."""
    at = first.at_utc + timedelta(minutes=rng.uniform(0.5, 5))
    if rng.random() < 0.5 or first.said.pain is None:
        return Answer(at, client.speaker.exact("chat.after", rng), Said(topic="chat"))
    pain = min(10, max(0, first.said.pain + rng.choice((-1, 1))))
    said = Said(pain=pain)
    return Answer(at, client.speaker.phrase("chat.correction", said, rng), said)
