"""How much of the program was done, as three rates that only mean something together.

The confirmed rate alone calls silence failure, the conditional rate alone calls it
success, and the reply rate says nothing about exercise (common practice).
"""

from collections.abc import Iterable
from dataclasses import dataclass

DONE, PARTLY, SKIPPED = "done", "partly", "skipped"

# Half of the sessions of a week: below it fewer exercises do better than more
# reminders (Henry 1999; Medina-Mirapeix 2009).
HALF = 0.5


@dataclass(frozen=True, slots=True)
class Adherence:
    """Sessions asked for, and what became of them; rates are 0-1 or None.

    `prescribed` leaves out paused, closed and stopped days. `silent` sessions are
    not known to be done, so they stay in the confirmed rate's denominator.
    """

    prescribed: int
    done: int
    not_done: int

    @property
    def silent(self) -> int:
        """Sessions nobody answered about."""
        return self.prescribed - self.done - self.not_done

    @property
    def reply_rate(self) -> float | None:
        """Answered of prescribed."""
        return _share(self.done + self.not_done, self.prescribed)

    @property
    def confirmed_rate(self) -> float | None:
        """Done of prescribed; silence counts as not known, so not as done."""
        return _share(self.done, self.prescribed)

    @property
    def conditional_rate(self) -> float | None:
        """Done of those answered."""
        return _share(self.done, self.done + self.not_done)


def _share(part: int, whole: int) -> float | None:
    return part / whole if whole else None


def rates(*, prescribed: int, done: int, not_done: int) -> Adherence:
    """Return the three rates of a period as one value.

    Extra sessions never push a rate above 1. Raises ValueError for a negative count.
    """
    if min(prescribed, done, not_done) < 0:
        raise ValueError("Sessions cannot be negative.")
    done = min(done, prescribed)
    return Adherence(prescribed, done, min(not_done, prescribed - done))


def from_completions(prescribed: int, completions: Iterable[str | None]) -> Adherence:
    """Return the rates from what was said; partly done counts as done in part only.

    Two sessions partly done count as one done and one not.
    """
    words = [word for word in completions if word is not None]
    partly = words.count(PARTLY)
    done = words.count(DONE) + partly // 2
    return rates(prescribed=prescribed, done=done, not_done=len(words) - done)


def share_done(completions: Iterable[str | None]) -> float | None:
    """Return done sessions of those stated, partly as half; None when none is."""
    worth = {DONE: 1.0, PARTLY: 0.5, SKIPPED: 0.0}
    stated = [worth[word] for word in completions if word is not None]
    return sum(stated) / len(stated) if stated else None
