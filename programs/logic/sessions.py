"""Three rates of a period that only mean something together.

reply rate = answered / sent; confirmed = done / prescribed, where silence is not
known and so not done; conditional = done / (done + said not done). The confirmed
rate alone calls silence failure, the conditional alone calls it success, the reply
rate says nothing about exercise (common practice; frequency 60.7 % and duration
70.9 % at one month, Medina-Mirapeix 2009). Sessions of paused, held and closed time
are not in `prescribed`; extra ones never push a day above what it asked for.
"""

from bisect import bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo

from programs.logic.reports import SymptomReport

# A reply belongs to the reminder before it for three hours; half of all replies
# come within 35 minutes (two text-message studies). Later ones still answer it
# until the next reminder, for half a day at most (common practice).
PROMPTED = timedelta(hours=3)
ANSWERS = timedelta(hours=12)
WORTH = {"done": 1.0, "partly": 0.5, "skipped": 0.0}


@dataclass(frozen=True, slots=True)
class SessionRates:
    """What was asked in a period and what became of it; rates are 0-1 or None.

    `sent`, `answered`: reminders. `prescribed`, `done`, `not_done`: sessions, one
    partly done counts half on either side. `unprompted`: sessions done and reported
    with no reminder in the three hours before, on `unprompted_days` days.
    """

    sent: int
    answered: int
    prescribed: int
    done: float
    not_done: float
    unprompted: int = 0
    unprompted_days: int = 0

    @property
    def silent(self) -> float:
        """Sessions nobody spoke of: not known to be done."""
        return self.prescribed - self.done - self.not_done

    @property
    def reply_rate(self) -> float | None:
        """Reminders answered of those sent."""
        return _share(self.answered, self.sent)

    @property
    def confirmed_rate(self) -> float | None:
        """Sessions done of those prescribed."""
        return _share(self.done, self.prescribed)

    @property
    def conditional_rate(self) -> float | None:
        """Sessions done of those spoken of."""
        return _share(self.done, self.done + self.not_done)


def rates_of(
    reports: Iterable[SymptomReport],
    *,
    prescribed_at: Sequence[datetime],
    sent_at: Sequence[datetime],
    zone: tzinfo,
) -> SessionRates:
    """Return the rates from reports, session times that counted, and reminders sent.

    Reports of a day without a counted session (a pause) leave both sides.
    """
    reports = sorted(reports, key=lambda report: report.at)
    sent = sorted(sent_at)
    asked = Counter(_day(at, zone) for at in prescribed_at)
    done, not_done = _by_day(reports, asked, zone)
    alone = [r for r in reports if _is_done(r) and not _is_prompted(r.at, sent)]
    return SessionRates(
        sent=len(sent),
        answered=len({index for r in reports if (index := _answers(r.at, sent)) >= 0}),
        prescribed=sum(asked.values()),
        done=done,
        not_done=not_done,
        unprompted=len(alone),
        unprompted_days=len({_day(report.at, zone) for report in alone}),
    )


def _by_day(
    reports: Iterable[SymptomReport], asked: Counter[date], zone: tzinfo
) -> tuple[float, float]:
    """Sessions done and not done, each day's sum no more than it asked for."""
    said: dict[date, list[float]] = defaultdict(list)
    for report in reports:
        if report.completion is not None:
            said[_day(report.at, zone)].append(WORTH[report.completion])
    total_done = total_not = 0.0
    for day, worth in said.items():
        done = min(sum(worth), asked[day])
        total_done += done
        total_not += min(len(worth) - sum(worth), asked[day] - done)
    return total_done, total_not


def _is_done(report: SymptomReport) -> bool:
    return report.completion in ("done", "partly")


def _is_prompted(at: datetime, sent: Sequence[datetime]) -> bool:
    index = bisect_right(sent, at) - 1
    return index >= 0 and at - sent[index] <= PROMPTED


def _answers(at: datetime, sent: Sequence[datetime]) -> int:
    """The place of the reminder a report answers; -1 for none."""
    index = bisect_right(sent, at) - 1
    return index if index >= 0 and at - sent[index] <= ANSWERS else -1


def _day(at: datetime, zone: tzinfo) -> date:
    return at.astimezone(zone).date()


def _share(part: float, whole: float) -> float | None:
    return part / whole if whole else None
