"""How many of the day's reminders a client needs, and when that changes.

Reminders are thinned, the sessions never: a client who does them unprompted, or does
and answers most while symptoms settle, is asked less often; one who gets worse,
skips or falls silent is asked at every session again. Asking less often costs no
answers (five studies, Axen 2020), asking often tires (answers fall with the days,
Ono 2019), but spreading is found later the fewer replies come: so three a day stay
until symptoms have settled. Levels, days and shares are common practice; 70 % is
what most do at one month (Medina-Mirapeix 2009).
"""

from dataclasses import dataclass
from datetime import timedelta
from math import ceil
from typing import Final

FULL: Final = "full"
FEWER: Final = "fewer"
FEW: Final = "few"
LEVELS: Final = (FULL, FEWER, FEW)
FEWEST_UNSETTLED, FEWEST_SETTLED = 3, 2

FIRST_WEEK = timedelta(days=7)
BETWEEN_CHANGES = timedelta(days=7)
HIGH, LOW = 0.7, 0.5
UNPROMPTED, UNPROMPTED_DAYS = 5, 3
ENOUGH_SENT = 4
SILENT = timedelta(hours=24)


@dataclass(frozen=True, slots=True)
class LoadFacts:
    """What the load is decided on, over the last 7 days unless it says otherwise.

    `running`: since the program began; `at_level`: since the last change of load
    (None: there was none). `recent_reply_rate`: of the last 3 days, None under four
    reminders. `settling`: drawing in, easing or settled; `settled`: nothing past the
    back and pain of 2 at most. `worse`: reports that need somebody, or an open
    alert for one. `quiet_for`: since the client was last heard. Rates and counts are
    counted once a day; uncounted ones thin nothing out.
    """

    running: timedelta
    at_level: timedelta | None
    settling: bool
    settled: bool
    worse: bool
    skipping: bool
    quiet_for: timedelta
    reply_rate: float | None = None
    confirmed_rate: float | None = None
    recent_reply_rate: float | None = None
    unprompted: int = 0
    unprompted_days: int = 0


@dataclass(frozen=True, slots=True)
class LoadChange:
    """The level from now on, and why as a code of `REASON_WORDS`."""

    level: str
    reason: str


REASON_WORDS: Final = {
    "worse": "symptoms got worse or an alert is open",
    "skipping": "sessions are skipped",
    "silent": "nothing was heard for a day",
    "few_replies": "under half of the reminders of three days were answered",
    "unprompted": "sessions are reported without a reminder",
    "adherent": "sessions are done and answered, and symptoms settle",
    "settled": "symptoms have settled and sessions are done",
    "fixed": "fixed by a clinician",
    "released": "left to the rule again by a clinician",
}
LEVEL_WORDS: Final = {
    FULL: "a reminder for every session",
    FEWER: "about every other session, at least three a day",
    FEW: "two reminders a day",
}


def change(level: str, facts: LoadFacts, *, times_per_day: int) -> LoadChange | None:
    """Return the change the rules call for, None when the level stays.

    Never asked for a client whose load a clinician has fixed.
    """
    back = _back(facts)
    if back is not None:
        return None if level == FULL else LoadChange(FULL, back)
    if level == FEW or facts.running < FIRST_WEEK:
        return None
    if facts.at_level is not None and facts.at_level < BETWEEN_CHANGES:
        return None
    found = _thinner(level, facts)
    if found is None:
        return None
    fewer = per_day(found.level, times_per_day) < per_day(level, times_per_day)
    return found if fewer else None


def per_day(level: str, times_per_day: int) -> int:
    """Return how many of the day's sessions are reminded of."""
    if level == FULL:
        return times_per_day
    fewest = FEWEST_SETTLED if level == FEW else FEWEST_UNSETTLED
    wanted = fewest if level == FEW else max(fewest, ceil(times_per_day / 2))
    return min(times_per_day, wanted)


def kept(times: int, count: int) -> tuple[int, ...]:
    """Return which of `times` slots stay when only `count` are reminded of.

    Spread over the day, the first and the last among them; the middle one alone.
    """
    if count >= times:
        return tuple(range(times))
    if count == 1:
        return (times // 2,)
    return tuple(round(place * (times - 1) / (count - 1)) for place in range(count))


def _back(facts: LoadFacts) -> str | None:
    if facts.worse:
        return "worse"
    if facts.skipping:
        return "skipping"
    if facts.quiet_for >= SILENT:
        return "silent"
    rate = facts.recent_reply_rate
    return "few_replies" if rate is not None and rate < LOW else None


def _thinner(level: str, facts: LoadFacts) -> LoadChange | None:
    confirmed, replies = facts.confirmed_rate or 0.0, facts.reply_rate or 0.0
    does_most = confirmed >= HIGH and replies >= HIGH
    if facts.settled and does_most:
        return LoadChange(FEW, "settled")
    if level != FULL:
        return None
    if facts.unprompted >= UNPROMPTED and facts.unprompted_days >= UNPROMPTED_DAYS:
        return LoadChange(FEWER, "unprompted")
    if does_most and facts.settling:
        return LoadChange(FEWER, "adherent")
    return None
