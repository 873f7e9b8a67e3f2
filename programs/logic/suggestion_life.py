"""How long an answered suggestion stays away, so that nobody is asked twice a day."""

from datetime import datetime, timedelta

ACCEPTED, EDITED, DECLINED = "accepted", "edited", "declined"

# Common practice: a declined change is not put again for a week, one that was
# carried out not for three days. Rows for a client in trouble come back after a
# day, because what they answer to may have grown worse since.
QUIET_AFTER = {
    DECLINED: timedelta(days=7),
    ACCEPTED: timedelta(days=3),
    EDITED: timedelta(days=3),
}
TROUBLE_ROWS = frozenset({"1", "2", "3", "4", "7", "8", "13"})
QUIET_IN_TROUBLE = timedelta(days=1)
LONGEST_QUIET = max(QUIET_AFTER.values())


def is_quiet(row: str, answer: str, answered_at: datetime, *, now: datetime) -> bool:
    """Return whether the same suggestion, answered so, stays away for now.

    `row` is its id in the decision table, `answer` accepted, edited or declined.
    """
    span = QUIET_IN_TROUBLE if row in TROUBLE_ROWS else QUIET_AFTER[answer]
    return now - answered_at < span
