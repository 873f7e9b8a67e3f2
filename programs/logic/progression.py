"""What a clinician might change next: the decision table, suggestion only.

The first row that holds speaks. Rows keep their printed ids; where a later one must
not be hidden by an earlier, it is tried first (six weeks of severe pain before
"keep", a quiet week before "one rung up"). Nothing here changes a dose.
"""

from dataclasses import replace

from programs.logic.assessment import Assessment
from programs.logic.course_rows import COURSE_ROWS
from programs.logic.decision_row import Change, Row
from programs.logic.guards import raise_refusals
from programs.logic.history import History
from programs.logic.plan_state import Case, PlanState
from programs.logic.safety_rows import SAFETY_ROWS
from programs.logic.suggestion import Suggestion

ROWS: tuple[Row, ...] = (*SAFETY_ROWS, *COURSE_ROWS)
GUARDED = frozenset({"progress", "function"})


def suggest(
    assessment: Assessment, *, history: History, plan: PlanState
) -> Suggestion | None:
    """Return the first row's suggestion, or None when no row holds.

    A change for more that a guard forbids comes back as `keep`, naming the guard and
    what would lift it.
    """
    return suggestion_of(Case(assessment, history, plan))


def suggestion_of(case: Case) -> Suggestion | None:
    """Return the same for a case that is at hand."""
    row = next((row for row in ROWS if row.holds(case)), None)
    if row is None:
        return None
    suggestion = row.suggestion(case)
    refusals = raise_refusals(case) if suggestion.action in GUARDED else ()
    if not refusals:
        return suggestion
    change = Change("keep", f"Keep for now: {refusals[0].why}.")
    lifts = " ".join(refusal.lifts for refusal in refusals)
    return replace(row.with_change(change, why=row.why(case)), would_change=lifts)
