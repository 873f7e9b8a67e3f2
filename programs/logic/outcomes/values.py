"""Values every outcome measure shares: answers in, score and change out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

Answers = Mapping[str, Any]
LANGUAGES: Final = ("en", "es", "fr")
MIC_SHARE: Final = 0.30
"""A fall by 30 % of the start is useful whatever the measure (Ostelo 2008)."""


class AnswerError(ValueError):
    """An answer that cannot be scored; `field` names the one to put right."""

    def __init__(self, message: str, field: str) -> None:
        super().__init__(message)
        self.field = field


@dataclass(frozen=True, slots=True)
class Score:
    """A score on the measure's own scale; `missing` counts what was left out."""

    value: float
    missing: int = 0


@dataclass(frozen=True, slots=True)
class Taken:
    """One time a measure was taken: when (aware), its score, the answers behind it."""

    at: datetime
    value: float
    answers: Answers


@dataclass(frozen=True, slots=True)
class Change:
    """What lies between two times.

    `percent` of the start (None when the start is 0 or the scale has no meaning for
    it); `better` None: no difference. `reliable`: more than the measure's own error;
    `useful`: enough to matter to people; None where no bound is held for the measure.
    """

    difference: float
    percent: float | None
    better: bool | None
    reliable: bool | None
    useful: bool | None
    sentence: str


@dataclass(frozen=True, slots=True)
class Measure:
    """One outcome measure.

    `low` to `high` is the range of its score; `by_link`: languages in which a client
    may be asked on a page, empty where the item texts are not ours to show. `score`
    raises AnswerError; `reads` says what one score means alone, "" for nothing;
    `source`: where it is from and who must be named.
    """

    code: str
    name: str
    low: float
    high: float
    unit: str
    by_link: tuple[str, ...]
    source: str
    score: Callable[[Answers], Score]
    change: Callable[[Taken, Taken], Change]
    reads: Callable[[Taken], str]


@dataclass(frozen=True, slots=True)
class Bounds:
    """The two bounds a change is held against, with their sources in words."""

    reliable: bool | None
    useful: bool | None
    error_rule: str
    useful_rule: str = ""


def whole(answers: Answers, name: str, low: int, high: int) -> int:
    """A whole number of the answers within its range, both ends included."""
    value = answers.get(name)
    if isinstance(value, bool) or not isinstance(value, int):
        raise AnswerError(f"Give a whole number from {low} to {high}.", name)
    if not low <= value <= high:
        raise AnswerError(f"Give a number from {low} to {high}.", name)
    return value


def number(answers: Answers, name: str, low: float, high: float) -> float:
    """A number of the answers within its range, kept to one decimal."""
    value = answers.get(name)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise AnswerError(f"Give a number from {low:g} to {high:g}.", name)
    if not low <= value <= high:
        raise AnswerError(f"Give a number from {low:g} to {high:g}.", name)
    return round(float(value), 1)


def only(answers: Answers, *names: str) -> None:
    """Refuse an answer nobody asked for, by name."""
    for name in answers:
        if name not in names:
            raise AnswerError("This is not asked here: remove it.", str(name)[:40])


def share(first: float, difference: float) -> float | None:
    """The difference in percent of the start; None when the start is 0."""
    return None if first == 0 else difference / first * 100


def by_share(first: float, difference: float) -> bool:
    """Whether the score fell by 30 % of its start or more (Ostelo 2008)."""
    return first > 0 and -difference / first >= MIC_SHARE


def between(
    first: float, now: float, bounds: Bounds, *, lower_is_better: bool
) -> Change:
    """The change from `first` to `now`, said in one or two plain sentences."""
    difference = round(now - first, 2)
    percent = share(first, difference)
    if difference == 0:
        said = f"{shown(now)} both times: no change."
        return Change(0.0, percent, None, False, False, said)
    better = (difference < 0) == lower_is_better
    return Change(
        difference,
        percent,
        better,
        bounds.reliable,
        bounds.useful,
        _said(first, now, percent, better, bounds),
    )


def shown(value: float) -> str:
    """A score as people write it: 5, not 5.0; one decimal where there is one."""
    return f"{round(value, 1):g}"


def signed(value: float) -> str:
    """A difference with its sign: +2, -0.5."""
    return f"{round(value, 1):+g}"


def _said(
    first: float, now: float, percent: float | None, better: bool, bounds: Bounds
) -> str:
    way = "better" if better else "worse"
    of_start = "" if percent is None else f", {percent:+.0f} %"
    steps = f"From {shown(first)} to {shown(now)} ({signed(now - first)}{of_start}): "
    if bounds.reliable is None:
        verdict = f"{way}; {bounds.error_rule}."
    elif bounds.reliable:
        verdict = f"reliably {way}, more than error alone ({bounds.error_rule})."
    else:
        verdict = f"{way}, but not reliably: {bounds.error_rule}."
    if bounds.useful is None:
        return steps + verdict
    enough = "Enough to matter" if bounds.useful else "Below useful change"
    return f"{steps}{verdict} {enough} ({bounds.useful_rule})."
