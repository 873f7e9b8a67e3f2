"""What the reach chart shows: reports, what the clinic did, and both as table rows."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import Literal

from programs.logic.body import AREAS
from programs.logic.reach_words import words


@dataclass(frozen=True, slots=True)
class ReachPoint:
    """One report: when (aware), how far pain reaches, how strong (0-10), which side.

    `area` is the distal-most area, `leg` where the level was not said, None where
    the report says nothing of it. `uncertain` draws the dot hollow.
    """

    at: datetime
    area: str | None
    pain: float | None
    side: str | None = None
    uncertain: bool = False

    @property
    def located(self) -> bool:
        """Whether the report names an area with a level."""
        return self.area in AREAS


@dataclass(frozen=True, slots=True)
class ReachMark:
    """Something the clinic did or saw at a moment (aware), shown on the time axis."""

    at: datetime
    label: str
    kind: Literal["dose", "decision", "alert"]


@dataclass(frozen=True, slots=True)
class ReachRow:
    """One row of the table beside the chart, in local time and in words."""

    at: datetime
    kind: str
    area: str
    pain: str
    side: str
    note: str


def reach_table(
    points: Iterable[ReachPoint],
    marks: Iterable[ReachMark] = (),
    *,
    zone: tzinfo,
    language: str = "en",
) -> list[ReachRow]:
    """The chart's data in rows, newest first, for readers who do not see it."""
    said = words(language)
    rows = [
        ReachRow(
            at=point.at.astimezone(zone),
            kind=said.kinds["report"],
            area=said.area(point.area),
            pain=said.score(point.pain),
            side=said.side(point.side),
            note="",
        )
        for point in points
    ]
    for mark in marks:
        kind, at = said.kinds[mark.kind], mark.at.astimezone(zone)
        rows.append(ReachRow(at, kind, area="", pain="", side="", note=mark.label))
    return sorted(rows, key=lambda row: row.at, reverse=True)
