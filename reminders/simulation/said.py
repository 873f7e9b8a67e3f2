"""What a synthetic client meant by one text: the truth beside the words."""

from dataclasses import dataclass
from datetime import datetime
from typing import Final

TOPICS: Final = (
    "report",
    "warning",
    "question",
    "administrative",
    "opt_out",
    "start",
    "safety",
    "who",
    "chat",
)


@dataclass(frozen=True, slots=True)
class Said:
    """The facts put into a text; None means that the text does not say it.

    `pain` is the highest 0-10 rating named, `leg_pain` and `back_pain` those of a
    text that rates both. `left_area` is where pain went away on a move toward the
    back. `safety` and `who` are the answers to those questions.
    """

    topic: str = "report"
    completion: str | None = None
    pain: int | None = None
    leg_pain: int | None = None
    back_pain: int | None = None
    area: str | None = None
    side: str | None = None
    overall: str | None = None
    shift: str | None = None
    left_area: str | None = None
    tingling_area: str | None = None
    warning: str | None = None
    safety: str | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """One text a client sends, when it leaves the phone (UTC), and what it means."""

    at_utc: datetime
    text: str
    said: Said
