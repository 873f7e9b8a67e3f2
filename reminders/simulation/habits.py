"""Whether and when a client answers a text.

Answer rates after three pain texts a day: 75.0 % (Arthrosc Sports Med Rehabil
study, n = 177); half of all answers within 29 minutes (Singapore study of texts in
rheumatoid arthritis). The spread of both is an engineering choice.
"""

import math
import random
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from reminders.simulation.courses import NON_RESPONDER

_MEDIAN_MINUTES: Final = 29.0
_TEN_PERCENT_OVER_MINUTES: Final = 360.0
_NORMAL_90TH: Final = 1.2816
_SIGMA: Final = math.log(_TEN_PERCENT_OVER_MINUTES / _MEDIAN_MINUTES) / _NORMAL_90TH
_PROMPT_MEDIAN_MINUTES: Final = 8.0
_PROMPT_SIGMA: Final = 1.2
_LONGEST: Final = timedelta(hours=36)
_SHORTEST_MINUTES: Final = 0.3
_FATIGUE_A_DAY: Final = 0.02
_LAST_DAY_OF_NON_RESPONDER: Final = 10
_WAKING_HOUR: Final = 6

_ASK_BACKS: Final = frozenset({"safety", "reach", "pain", "who", "done", "opt_out"})
_CHANCE_TO_START: Final = 0.93
_CHANCE_UNASKED: Final = 0.04
_CHANCE_IN_NEED: Final = 0.9


@dataclass(frozen=True, slots=True)
class Habits:
    """How readily one client answers and does the exercises.

    `readiness` is the log-odds of answering on the first day; `diligence` the
    share of sessions done.
    """

    kind: str
    readiness: float
    diligence: float
    zone: str

    def chance(self, day: int, asks: str, *, in_need: bool = False) -> float:
        """Return the chance that a text of `day` asking `asks` is answered.

        `in_need` is a client with something alarming to tell, who seldom waits.
        """
        if asks == "start":
            return _CHANCE_TO_START
        if self.kind == NON_RESPONDER and day > _LAST_DAY_OF_NON_RESPONDER:
            return 0.0
        if in_need:
            return _CHANCE_IN_NEED
        if asks == "nothing":
            return _CHANCE_UNASKED
        eager = 1.0 if asks in _ASK_BACKS else 0.0
        odds = self.readiness + eager - _FATIGUE_A_DAY * day
        return 1 / (1 + math.exp(-odds))

    def answer_at(
        self, sent_at: datetime, asks: str, rng: random.Random, *, in_need: bool = False
    ) -> datetime:
        """Return when the answer leaves the phone, in UTC.

        Most answers that would fall into the night wait for the morning.
        """
        prompt = in_need or asks in _ASK_BACKS
        median = _PROMPT_MEDIAN_MINUTES if prompt else _MEDIAN_MINUTES
        sigma = _PROMPT_SIGMA if prompt else _SIGMA
        minutes = rng.lognormvariate(math.log(median), sigma)
        delay = min(_LONGEST, timedelta(minutes=max(_SHORTEST_MINUTES, minutes)))
        morning = timedelta(minutes=rng.uniform(30, 150))
        waits = rng.random() < 0.85
        local = (sent_at + delay).astimezone(ZoneInfo(self.zone))
        if local.hour < _WAKING_HOUR and waits and not in_need:
            dawn = local.replace(hour=_WAKING_HOUR, minute=0, second=0, microsecond=0)
            return dawn.astimezone(UTC) + morning
        return local.astimezone(UTC)


def draw_habits(kind: str, zone: str, rng: random.Random) -> Habits:
    """Return one client's habits; a non-responder answers about 8 % of texts."""
    readiness = -2.5 if kind == NON_RESPONDER else rng.gauss(1.3, 0.8)
    return Habits(kind, readiness, rng.betavariate(6, 2.5), zone)
