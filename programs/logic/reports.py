"""What a client reported at one moment, as a value the response engine reads."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from programs.logic import body

OVERALL = frozenset({"better", "same", "worse"})
SHIFTS = frozenset({"toward_back", "down_leg"})
COMPLETIONS = frozenset({"done", "partly", "skipped"})


@dataclass(frozen=True, slots=True)
class SymptomReport:
    """One report; everything but `at` may be unsaid.

    `pain` is 0-10 now (numeric rating). `areas` maps an area to present, new, worse,
    same, better or gone, for any symptom there. `shift` is movement of symptoms
    (toward_back, down_leg), never posture. `pain_by_area` is 0-10 an area and
    `sensation` maps an area to numb, tingling or weak.

    Raises ValueError for a time without a zone, a rating outside 0-10 or a word
    outside these lists: read loosely, each would hide a report that should alarm.
    """

    at: datetime
    pain: float | None = None
    areas: Mapping[str, str] = field(default_factory=dict, hash=False)
    side: str | None = None
    overall: str | None = None
    shift: str | None = None
    completion: str | None = None
    pain_by_area: Mapping[str, float] = field(default_factory=dict, hash=False)
    sensation: Mapping[str, str] = field(default_factory=dict, hash=False)

    def __post_init__(self) -> None:
        if self.at.tzinfo is None:
            raise ValueError("A report's time needs a zone; give an aware datetime.")
        ratings = [*self.pain_by_area.values()]
        if self.pain is not None:
            ratings.append(self.pain)
        if any(not 0 <= rating <= 10 for rating in ratings):
            raise ValueError("Pain must be between 0 and 10.")
        _check_words(self)


def _check_words(report: SymptomReport) -> None:
    named = (*report.areas, *report.pain_by_area, *report.sensation)
    _check("area", named, body.ALL_AREAS)
    _check("state", report.areas.values(), body.STATES)
    _check("sensation", report.sensation.values(), body.SENSATIONS)
    _check("side", (report.side,), body.SIDES)
    _check("overall", (report.overall,), OVERALL)
    _check("shift", (report.shift,), SHIFTS)
    _check("completion", (report.completion,), COMPLETIONS)


def _check(
    name: str, words: Iterable[str | None], allowed: frozenset[str] | tuple[str, ...]
) -> None:
    for word in words:
        if word is not None and word not in allowed:
            known = ", ".join(sorted(allowed))
            raise ValueError(f"Unknown {name}; use one of {known}.")


def in_order(reports: Iterable[SymptomReport]) -> list[SymptomReport]:
    """Return reports by time, each once; arrival order and repeats leave no trace."""
    moments: dict[datetime, list[SymptomReport]] = {}
    for report in reports:
        moments.setdefault(report.at, []).append(report)
    return [r for at in sorted(moments) for r in _each_once(moments[at])]


def _each_once(same_time: list[SymptomReport]) -> list[SymptomReport]:
    if len(same_time) == 1:
        return same_time
    unique = {_identity(report): report for report in same_time}
    return [unique[key] for key in sorted(unique)]


def _identity(report: SymptomReport) -> str:
    content = (
        None if report.pain is None else float(report.pain),
        sorted(report.areas.items()),
        report.side,
        report.overall,
        report.shift,
        report.completion,
        sorted((a, float(p)) for a, p in report.pain_by_area.items()),
        sorted(report.sensation.items()),
    )
    return repr(content)
