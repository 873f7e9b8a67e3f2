"""What a clinician might change next: the decision table, suggestion only.

The first row that holds speaks. Rows keep their printed ids; where a later one must
not be hidden by an earlier, it is tried first (six weeks of severe pain before
"keep", a quiet week before "one rung up"). Nothing here changes a dose.
"""

from datetime import timedelta

from programs.logic.assessment import NEXT_DAY, SAME_DAY, Assessment
from programs.logic.course_rows import COURSE_ROWS
from programs.logic.decision_row import Change, Row
from programs.logic.history import History
from programs.logic.plan_state import THREE_DAYS, Case, PlanState
from programs.logic.safety_rows import EMERGENCY, SAFETY_ROWS
from programs.logic.suggestion import Suggestion

ROWS: tuple[Row, ...] = (*SAFETY_ROWS, *COURSE_ROWS)

# Asking for more waits (common practice): six replies in three days, a day and three
# sessions since the last change, a week without an alert that someone had to act on.
FEWEST_REPLIES = 6
BETWEEN_CHANGES, SESSIONS_BETWEEN = timedelta(hours=24), 3
BLOCKING = frozenset({EMERGENCY, SAME_DAY, NEXT_DAY})
GUARDED = frozenset({"progress", "function"})


def suggest(
    assessment: Assessment, *, history: History, plan: PlanState
) -> Suggestion | None:
    """Return the first row's suggestion, or None when no row holds.

    A change for more that a guard forbids comes back as `keep`, naming the guard.
    """
    case = Case(assessment, history, plan)
    row = next((row for row in ROWS if row.holds(case)), None)
    if row is None:
        return None
    suggestion = row.suggestion(case)
    held = guard(case) if suggestion.action in GUARDED else None
    if held is None:
        return suggestion
    return row.with_change(Change("keep", f"Keep for now: {held}."), why=row.why(case))


def guard(case: Case) -> str | None:
    """Return why nothing may be raised now, in words; None when nothing forbids it."""
    if case.plan.open_alerts & BLOCKING:
        return "an alert was open within the last week"
    if case.plan.unanswered_ask_back:
        return "a question to the client is unanswered"
    replies = len(case.history.within(THREE_DAYS))
    if replies < FEWEST_REPLIES:
        return f"only {replies} of {FEWEST_REPLIES} replies needed in 3 days"
    return _too_soon(case)


def _too_soon(case: Case) -> str | None:
    changed = case.plan.last_change_at
    if changed is None:
        return None
    if case.history.now - changed < BETWEEN_CHANGES:
        return "the last change is less than 24 h old"
    since = [r for r in case.history.reports if r.at > changed]
    done = sum(r.completion in ("done", "partly") for r in since)
    if done < SESSIONS_BETWEEN:
        return f"only {done} of {SESSIONS_BETWEEN} sessions done since the last change"
    return None
