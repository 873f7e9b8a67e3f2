"""From alarms to figures: sensitivity, delay, chance hits, false alerts.

How an episode is counted, once for all rules: an alarm opens an episode unless one
was opened within the last three days. That is the product's chain in plain numbers:
it stays open until a clinician decides (a day), the decision settles the reason for
two days, and a reason that still holds after that opens the next. A more urgent
alarm within the three days is growth of the chain, not a second episode. A finding
that stands for a week is thus counted three times: nothing is gained by standing.

Sensitivity is an alarm of the right reason within seven days of the turn, delay is
counted from the first moment of the day of the turn, chance is the same window on
clients on a plateau. False alerts are episodes a hundred client-days: of the whole
course where nothing gets worse, of the days before the turn elsewhere.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from statistics import median

from reminders.simulation import courses
from tests.bench.cohort.clients import DAYS, Client
from tests.bench.cohort.rules import PAIN_UP, SILENT, SPREADING, Alarm, reasons_of

WINDOW = timedelta(days=7)
MERGED = timedelta(days=3)
TURNS = {courses.PERIPHERALIZER: SPREADING, courses.PAIN_ONLY_WORSENING: PAIN_UP}
SILENCE_WITHIN = timedelta(hours=73)


@dataclass(slots=True)
class Tally:
    """Counts of one kind under one rule; `delays` in days, None for a miss."""

    delays: list[float | None] = field(default_factory=list)
    chance: dict[str, int] = field(default_factory=dict)
    helped: int = 0
    clients: int = 0
    episodes: int = 0
    by_reason: dict[str, int] = field(default_factory=dict)
    first_true: int = 0
    client_days: float = 0.0
    silent_flagged: int = 0
    silent_due: int = 0

    @property
    def sensitivity(self) -> float | None:
        """Share found within seven days."""
        found = [delay for delay in self.delays if delay is not None]
        return len(found) / len(self.delays) if self.delays else None

    @property
    def delay(self) -> float | None:
        """Median days to the alarm among those found."""
        found = [delay for delay in self.delays if delay is not None]
        return median(found) if found else None

    @property
    def together(self) -> float | None:
        """Share found within seven days, or on the list for silence in them."""
        return self.helped / len(self.delays) if self.delays else None

    @property
    def false_per_100(self) -> float:
        """Episodes a hundred client-days."""
        return 100 * self.episodes / self.client_days if self.client_days else 0.0

    @property
    def after_first_true(self) -> float:
        """The same without each client's first alert on a reach truly farther out."""
        return 100 * (self.episodes - self.first_true) / (self.client_days or 1)

    def of_reason(self, reason: str) -> float:
        """Episodes of one reason a hundred client-days."""
        return 100 * self.by_reason.get(reason, 0) / (self.client_days or 1)

    def chance_of(self, reason: str) -> float:
        """Share of clients with an alarm of the reason in the window, by chance."""
        return self.chance.get(reason, 0) / (self.clients or 1)

    @property
    def silence_found(self) -> float | None:
        """Share of lasting silences flagged within 73 hours."""
        return self.silent_flagged / self.silent_due if self.silent_due else None


def episodes(alarms: Iterable[Alarm]) -> list[Alarm]:
    """Return the alarms that open an episode, see above."""
    opened: list[Alarm] = []
    for alarm in sorted(alarms, key=lambda each: each.at):
        if not opened or alarm.at - opened[-1].at >= MERGED:
            opened.append(alarm)
    return opened


def score(tally: Tally, client: Client, alarms: Sequence[Alarm]) -> None:
    """Add one client's alarms to the counts of its kind."""
    tally.clients += 1
    _false(tally, client, alarms)
    for reason in (SPREADING, PAIN_UP):
        hit = any(_in_window(client, each) for each in reasons_of(alarms, reason))
        tally.chance[reason] = tally.chance.get(reason, 0) + hit
    if client.kind in TURNS:
        _turn(tally, client, alarms)
    if client.kind == courses.NON_RESPONDER and client.reports:
        _silence(tally, client, alarms)


def _in_window(client: Client, alarm: Alarm) -> bool:
    return client.onset_at <= alarm.at <= client.onset_at + WINDOW


def _turn(tally: Tally, client: Client, alarms: Sequence[Alarm]) -> None:
    right = reasons_of(alarms, TURNS[client.kind])
    hits = [alarm.at for alarm in right if _in_window(client, alarm)]
    delay = (min(hits) - client.onset_at) / timedelta(days=1) if hits else None
    tally.delays.append(delay)
    silent = any(_in_window(client, a) for a in reasons_of(alarms, SILENT))
    tally.helped += bool(hits) or silent


def _false(tally: Tally, client: Client, alarms: Sequence[Alarm]) -> None:
    turns = client.kind in TURNS
    until = client.onset_at if turns else client.end
    watched = reasons_of(alarms, SPREADING, PAIN_UP)
    opened = episodes(alarm for alarm in watched if alarm.at < until)
    tally.episodes += len(opened)
    tally.client_days += (until - client.since) / timedelta(days=1) if turns else DAYS
    for alarm in opened:
        tally.by_reason[alarm.reason] = tally.by_reason.get(alarm.reason, 0) + 1
    tally.first_true += any(
        alarm.reason == SPREADING and client.truly_farther(alarm.at) for alarm in opened
    )


def _silence(tally: Tally, client: Client, alarms: Sequence[Alarm]) -> None:
    last = client.reports[-1].at
    if last + SILENCE_WITHIN > client.end:
        return
    tally.silent_due += 1
    flagged = reasons_of(alarms, SILENT)
    tally.silent_flagged += any(last < a.at <= last + SILENCE_WITHIN for a in flagged)
