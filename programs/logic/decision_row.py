"""One row of the decision table, as data."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from programs.logic.dose import Dose
from programs.logic.plan_state import Case
from programs.logic.suggestion import Suggestion


@dataclass(frozen=True, slots=True)
class Change:
    """What a row suggests: an action, its words, and what it is done to."""

    action: str
    words: str
    exercise_code: str | None = None
    target_code: str | None = None
    dose: Dose | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """A condition, why it holds in words, the change, what undoes it, its source.

    `when` is the condition in words, `does` what is suggested, for whoever reads the
    table. `lifts` says what undoes it with this client's own numbers, where it can.
    """

    id: str
    holds: Callable[[Case], bool]
    why: Callable[[Case], str]
    change: Callable[[Case], Change]
    would_change: str
    source: str
    when: str
    does: str
    lifts: Callable[[Case], str] | None = None

    def suggestion(self, case: Case) -> Suggestion:
        """Return this row's suggestion for a case it holds for."""
        found = self.with_change(self.change(case), why=self.why(case))
        return replace(found, would_change=self.lifts(case)) if self.lifts else found

    def with_change(self, change: Change, *, why: str) -> Suggestion:
        """Return the suggestion of a given change in this row's name."""
        return Suggestion(
            row=self.id,
            action=change.action,
            sentence=f"{why} {change.words}",
            would_change=self.would_change,
            source=self.source,
            exercise_code=change.exercise_code,
            target_code=change.target_code,
            dose=change.dose,
        )
