"""Synthetic clients: who they are, and how they answer a text on a given day.

Everything is drawn from a seed; the same seed and the same texts give the same
answers. The clients are invented, and their courses are no prognosis.
"""

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from types import MappingProxyType
from typing import Final
from zoneinfo import ZoneInfo

from reminders.simulation.answering import ASKS, compose
from reminders.simulation.courses import (
    NON_RESPONDER,
    SUDDEN_WARNING,
    Course,
    draw_course,
)
from reminders.simulation.habits import Habits, draw_habits
from reminders.simulation.mixes import REALISTIC_MIX, Mix, allot
from reminders.simulation.people import fictional_numbers, invented_name
from reminders.simulation.said import Answer
from reminders.simulation.speaker import Speaker, draw_speaker
from reminders.simulation.starting import StartingPoint, draw_start
from reminders.simulation.warned import WarningPlan, draw_warning

DEFAULT_LANGUAGES: Final[Mapping[str, float]] = MappingProxyType(
    {"en": 0.7, "es": 0.2, "fr": 0.1}
)
_OPTS_OUT: Final = 0.03


@dataclass(slots=True)
class SyntheticClient:
    """One invented client and the little that must be remembered between texts.

    `starts_on` is the local date of day 0: given, or that of the first text.
    """

    number: int
    seed: int
    kind: str
    first_name: str
    last_name: str
    language: str
    zone: str
    phone: str
    start: StartingPoint
    course: Course
    habits: Habits
    speaker: Speaker
    warning: WarningPlan | None = None
    opts_out_on: int | None = None
    starts_on: date | None = None
    told_on: list[int] = field(default_factory=list)
    has_left: bool = False

    @property
    def name(self) -> str:
        """First and last name as a clinic would list them."""
        return f"{self.first_name} {self.last_name}"

    def day_of(self, at: datetime) -> int:
        """Return the day of the program at `at`, 0 being the first."""
        local = at.astimezone(ZoneInfo(self.zone)).date()
        if self.starts_on is None:
            self.starts_on = local
        return (local - self.starts_on).days

    def is_in_need(self, day: int) -> bool:
        """Say whether a warning sign is there that has not been told yet."""
        return self.warning is not None and self.warning.is_due(day, self.told_on)

    def answers(self, sent_at_utc: datetime, asks: str | None) -> list[Answer]:
        """Return the texts sent back to one that reached the phone at `sent_at_utc`.

        None (a silent client), one, or rarely two, in the order they leave the
        phone. `asks` is the question of the text: session, safety, reach, pain,
        who, done, opt_out, start, or None for a text without one. Raises
        ValueError for another word or a time without a zone.
        """
        question = _question(sent_at_utc, asks)
        day = self.day_of(sent_at_utc)
        if self.has_left:
            return []
        key = f"{self.seed}/{self.number}/{sent_at_utc.timestamp():.0f}/{question}"
        rng = random.Random(key)
        in_need = question != "start" and self.is_in_need(day)
        if rng.random() >= self.habits.chance(day, question, in_need=in_need):
            return []
        at = self.habits.answer_at(sent_at_utc, question, rng, in_need=in_need)
        given = compose(self, day, question, at=at, rng=rng)
        self._remember(day, given)
        return given

    def _remember(self, day: int, given: Sequence[Answer]) -> None:
        if any(answer.said.warning for answer in given):
            self.told_on.append(day)
        if any(answer.said.topic == "opt_out" for answer in given):
            self.has_left = True


def _question(sent_at: datetime, asks: str | None) -> str:
    if sent_at.tzinfo is None:
        raise ValueError("sent_at_utc has no time zone: pass an aware datetime")
    question = "nothing" if asks is None else asks
    if question not in ASKS:
        raise ValueError(f"unknown question {asks!r}: use None or one of {ASKS}")
    return question


def make_clients(
    count: int,
    *,
    seed: int,
    mix: Mix = REALISTIC_MIX,
    languages: Mapping[str, float] = DEFAULT_LANGUAGES,
    area_codes: Sequence[str] | None = None,
) -> list[SyntheticClient]:
    """Return `count` invented clients, the same for the same arguments.

    `mix` and `languages` are shares; `area_codes` limits where numbers (and so
    time zones) are from. Raises ValueError when the fictional numbers run out or
    a share, language or area code makes no sense.
    """
    rng = random.Random(f"clients/{seed}")
    kinds = allot(count, mix, rng)
    spoken = allot(count, languages, rng)
    numbers = fictional_numbers(rng, area_codes)
    return [
        _draw_client(number, seed, kind=kind, language=language, line=next(numbers))
        for number, (kind, language) in enumerate(zip(kinds, spoken, strict=True))
    ]


def _draw_client(
    number: int, seed: int, *, kind: str, language: str, line: tuple[str, str]
) -> SyntheticClient:
    rng = random.Random(f"client/{seed}/{number}")
    phone, zone = line
    first_name, last_name = invented_name(language, rng)
    course = draw_course(kind, rng)
    return SyntheticClient(
        number=number,
        seed=seed,
        kind=kind,
        first_name=first_name,
        last_name=last_name,
        language=language,
        zone=zone,
        phone=phone,
        start=draw_start(course, rng),
        course=course,
        habits=draw_habits(kind, zone, rng),
        speaker=draw_speaker(language, rng),
        warning=draw_warning(rng) if kind == SUDDEN_WARNING else None,
        opts_out_on=_draw_opt_out(kind, rng),
    )


def _draw_opt_out(kind: str, rng: random.Random) -> int | None:
    """A day to opt out on, for few; never before a sign that is still to be told."""
    leaves = rng.random() < _OPTS_OUT and kind not in {SUDDEN_WARNING, NON_RESPONDER}
    return rng.randint(4, 25) if leaves else None
