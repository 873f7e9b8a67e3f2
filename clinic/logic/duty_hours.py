"""When a person on the on-call chain is on duty, from one typed line.

"Mon-Fri 18:00-08:00, Sat-Sun 00:00-24:00": days, then a stretch on the site's wall
clock; one whose end is not after its start runs into the next day. An empty line is
always. Nights are what an on-call list is for, so they are one stretch, not two.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import Final

DAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
LONGEST: Final = 200
_DAY_MINUTES: Final = 24 * 60
_WEEK: Final = 7 * _DAY_MINUTES
_ITEM = re.compile(
    r"(?P<first>[a-z]{3,9})(?:\s*-\s*(?P<last>[a-z]{3,9}))?\s+"
    r"(?P<start>\d{1,2}:\d{2})\s*-\s*(?P<end>\d{1,2}:\d{2})",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Stretch:
    """From `start` to `end` on `days` (Monday 0); minutes of the day, end past 1440
    where it runs into the next day."""

    days: tuple[int, ...]
    start: int
    end: int

    def __str__(self) -> str:
        days = DAYS[self.days[0]]
        if len(self.days) > 1:
            days += f"-{DAYS[self.days[-1]]}"
        end = self.end - _DAY_MINUTES if self.end > _DAY_MINUTES else self.end
        return f"{days} {_clock(self.start)}-{_clock(end)}"


@dataclass(frozen=True, slots=True)
class DutyHours:
    """The stretches of one person; none means always."""

    stretches: tuple[Stretch, ...] = ()

    def is_on(self, at: datetime, zone: tzinfo) -> bool:
        """Whether the person is on duty at `at` (aware), by the site's wall clock."""
        local = at.astimezone(zone)
        return self._holds(
            local.weekday() * _DAY_MINUTES + local.hour * 60 + local.minute
        )

    def _holds(self, minute: int) -> bool:
        spans = list(self.spans())
        return not spans or any(
            start <= minute < end or start <= minute + _WEEK < end
            for start, end in spans
        )

    def spans(self) -> Iterator[tuple[int, int]]:
        """Each stretch as (start, end) in minutes of the week; Sunday's may pass it."""
        for stretch in self.stretches:
            for day in stretch.days:
                monday = day * _DAY_MINUTES
                yield monday + stretch.start, monday + stretch.end

    def __str__(self) -> str:
        return ", ".join(str(stretch) for stretch in self.stretches)


def parse(line: str) -> DutyHours:
    """Read a line; raises ValueError that says how to write it."""
    pieces = [piece.strip() for piece in re.split(r"[,;\n]", line) if piece.strip()]
    return DutyHours(tuple(_stretch(piece) for piece in pieces))


def first_gap(people: Iterable[DutyHours]) -> str | None:
    """The first moment of the week with nobody on duty, as "Sun 03:00"; None if none.

    An empty chain is one gap from Monday on.
    """
    chain = list(people)
    if any(not person.stretches for person in chain):
        return None
    ends = {end % _WEEK for person in chain for _, end in person.spans()}
    for minute in sorted({0} | ends):
        if not any(person._holds(minute) for person in chain):
            return f"{DAYS[minute // _DAY_MINUTES]} {_clock(minute % _DAY_MINUTES)}"
    return None


def _stretch(piece: str) -> Stretch:
    found = _ITEM.fullmatch(piece)
    if found is None:
        raise ValueError("Write hours as Mon-Fri 18:00-08:00, or nothing for always.")
    first = _weekday(found["first"])
    last = _weekday(found["last"]) if found["last"] else first
    days = tuple((first + step) % 7 for step in range((last - first) % 7 + 1))
    start, end = _minutes(found["start"]), _minutes(found["end"])
    if start == _DAY_MINUTES:
        raise ValueError("A day begins at 00:00.")
    return Stretch(days, start, end if end > start else end + _DAY_MINUTES)


def _weekday(word: str) -> int:
    name = word[:3].capitalize()
    if name not in DAYS:
        raise ValueError(f"Write days as {', '.join(DAYS)}.")
    return DAYS.index(name)


def _minutes(text: str) -> int:
    hour, minute = (int(part) for part in text.split(":"))
    total = hour * 60 + minute
    if minute > 59 or total > _DAY_MINUTES:
        raise ValueError("Write times as 18:00, up to 24:00.")
    return total


def _clock(minutes: int) -> str:
    return f"{minutes // 60:02d}:{minutes % 60:02d}"
