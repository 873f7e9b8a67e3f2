"""What a suggestion needs to know besides the reports: the program and its events."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from statistics import median

from programs.logic import adherence, ladder
from programs.logic.assessment import Assessment
from programs.logic.dose import Dose, halved
from programs.logic.exercises import SaferRule
from programs.logic.history import History

WEEK, THREE_DAYS = timedelta(days=7), timedelta(days=3)


@dataclass(frozen=True, slots=True)
class PlanItem:
    """One exercise of the home program; the last added is the one to leave out."""

    code: str
    name: str
    dose: Dose
    added_at: datetime
    safer: SaferRule | None = None


@dataclass(frozen=True, slots=True)
class PlanState:
    """The home program now.

    `places` maps every exercise code to its (ladder, rung), `names` to its name.
    `open_alerts` are the urgencies of alerts open at any time in the last week;
    `warning` is the urgency of a warning in the client's words now, if any.
    `rungs_tried` counts rungs held since the last change for the better.
    `settles` and `skipped_for_pain` are what a clinician or the client's words say:
    worse during a session but back within 30 min; sessions left out because of pain.
    """

    items: tuple[PlanItem, ...] = ()
    places: ladder.Places = field(default_factory=dict, hash=False)
    names: Mapping[str, str] = field(default_factory=dict, hash=False)
    last_change_at: datetime | None = None
    open_alerts: frozenset[str] = frozenset()
    warning: str | None = None
    lateral_shift_changed: bool = False
    rungs_tried: int = 0
    settles: bool = False
    skipped_for_pain: bool = False
    unanswered_ask_back: bool = False

    @property
    def last_added(self) -> PlanItem | None:
        """The exercise added last, the first to be doubted."""
        return max(self.items, key=lambda i: (i.added_at, i.code), default=None)

    def name_of(self, code: str) -> str:
        """Return an exercise's name; its code in plain letters where none is known."""
        return self.names.get(code, code.replace("_", " "))


@dataclass(frozen=True, slots=True)
class Case:
    """An assessment, the reports behind it and the program, seen together."""

    assessment: Assessment
    history: History
    plan: PlanState

    def has(self, reason: str) -> bool:
        """Return whether the assessment gives this reason."""
        return reason in self.assessment.reasons

    def number(self, reason: str, name: str) -> float:
        """Return a number behind a reason; 0 where it is not given."""
        return self.assessment.numbers.get(reason, {}).get(name, 0.0)

    def week(self) -> adherence.Adherence:
        """Return the three rates of the last 7 days."""
        start = self.history.now - WEEK
        sent = sum(moment > start for moment in self.history.due)
        words = [report.completion for report in self.history.within(WEEK)]
        return adherence.from_completions(sent, words)

    def days_running(self) -> float:
        """Return days since the program began."""
        began = self.history.started
        return (self.history.now - began) / timedelta(days=1) if began else 0.0

    def usual_pain(self) -> float | None:
        """Return the median of daily medians of the last 7 days, None without any."""
        first = self.history.today - WEEK
        days = self.history.pain_days
        recent = [pain for day, pain in days.items() if day > first]
        return median(recent) if recent else None


def next_step(case: Case) -> tuple[PlanItem, str] | None:
    """Return the item highest on a ladder that has a rung above, and that rung."""
    places = case.plan.places
    by_height = sorted(
        (item for item in case.plan.items if item.code in places),
        key=lambda item: (places[item.code][1], item.added_at, item.code),
        reverse=True,
    )
    used = {item.code for item in case.plan.items}
    for item in by_height:
        above = ladder.next_rung(item.code, places)
        if above is not None and above not in used:
            return item, above
    return None


def lowered(item: PlanItem) -> Dose | None:
    """Return the item's dose one safer step down; None at its floor.

    By the exercise's own rule, else half of the minutes, hold or repetitions.
    """
    if item.safer is None:
        less = halved(item.dose)
        return less if less != item.dose else None
    value = getattr(item.dose, item.safer.field)
    less_value = item.safer.lower(value) if value is not None else None
    if less_value is None:
        return None
    changes: dict[str, int] = {item.safer.field: less_value}
    return replace(item.dose, **changes)
