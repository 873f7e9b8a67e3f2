"""The day's reminder times of one client: spaced, shifted, never in quiet hours.

Times are fixed on the client's own clock and turned into UTC the way RFC 5545
section 3.3.5 reads a local date-time: a time the clocks skip moves later, a time
they repeat means the first one. A skipped reminder is moved, never dropped.
"""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from functools import lru_cache
from itertools import pairwise

from reminders.logic.quiet import is_quiet

MINIMUM_GAP_MINUTES = 60
"""A shorter gap leaves no time to do the exercises and feel what they do."""
MOST_A_DAY = 12
STALE_AFTER = timedelta(minutes=90)
"""A reminder later than this asks about a session that is over."""
_MINUTE = timedelta(minutes=1)


class PlanError(ValueError):
    """A reminder plan that cannot be kept; says which `field` and what to do."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(f"{field}: {message}")
        self.field = field
        self.message = message


@dataclass(frozen=True, slots=True, kw_only=True)
class ReminderPlan:
    """When one client wants reminders, on the client's own clock.

    `times_per_day` 1-12; the waking window is [`waking_from`, `waking_to`) within
    one local day; `quiet` holds local (from, to) pairs that may cross midnight;
    `offset_minutes` moves every time of the day alike (see `stable_offset`).
    `starts_on` and `ends_on` are both included. Raises PlanError.
    """

    times_per_day: int
    waking_from: time
    waking_to: time
    zone: tzinfo
    starts_on: date
    ends_on: date | None = None
    offset_minutes: int = 0
    quiet: tuple[tuple[time, time], ...] = ()
    paused_days: frozenset[date] = frozenset()

    def __post_init__(self) -> None:
        _check_times_of_day(self)
        _check_counts(self)
        _check_room(self)


@dataclass(frozen=True, slots=True)
class Slot:
    """One reminder: the `index`-th of a local date, due `at_utc`.

    `dst_adjusted` marks a day on which a clock change moved this slot.
    """

    local_date: date
    index: int
    at_utc: datetime
    dst_adjusted: bool = False


def slots(plan: ReminderPlan, day: date) -> list[Slot]:
    """The reminders of one local date, in order; none on a paused or outside day.

    Always `times_per_day` of them, save on a day shortened so much by a clock
    change inside a tight waking window that the 60 minutes between would not fit.
    """
    if not _is_active(plan, day):
        return []
    wall = _wall_times(plan, day)
    instants = [_instant(local, plan.zone) for local in wall]
    if not _keeps_the_rules(plan, day, instants):
        instants = _by_elapsed_time(plan, day) or _moved_out(plan, day, instants)
    return [
        Slot(day, index, at, at.astimezone(plan.zone).replace(tzinfo=None) != local)
        for index, (at, local) in enumerate(zip(instants, wall, strict=False))
    ]


def occurrences(plan: ReminderPlan, start: datetime, end: datetime) -> list[datetime]:
    """Every reminder time (UTC) in [`start`, `end`), in order; both must be aware."""
    if start.tzinfo is None or end.tzinfo is None:
        raise ValueError("occurrences needs aware times, such as ones in UTC")
    found = (
        slot.at_utc for day in _days(plan, start, end) for slot in slots(plan, day)
    )
    return [at for at in found if start <= at < end]


def key(client_id: object, rule_id: object, slot: Slot) -> str:
    """Permanent name of a reminder, unique by local date and slot, never by clock.

    Re-planning, an edit, a second worker or a repeated hour all collide on it,
    which is what keeps a reminder from going out twice.
    """
    return f"rem:{client_id}:{rule_id}:{slot.local_date.isoformat()}:{slot.index}"


def not_after(slot: Slot, next_slot: Slot | None = None) -> datetime:
    """When this reminder is too late to send: 90 minutes, never past the next one."""
    latest = slot.at_utc + STALE_AFTER
    return latest if next_slot is None else min(latest, next_slot.at_utc)


def stable_offset(client_id: str | bytes, spread_minutes: int) -> int:
    """Minutes in [0, `spread_minutes`) that stay the same for this client for ever.

    Spreads a site's reminders, so that hundreds are not due in the same minute.
    """
    if spread_minutes < 1:
        raise ValueError("spread_minutes must be at least 1")
    raw = client_id.encode() if isinstance(client_id, str) else client_id
    digest = hashlib.sha256(raw).digest()
    return int.from_bytes(digest[:8], "big") % spread_minutes


def _check_times_of_day(plan: ReminderPlan) -> None:
    named = [("waking_from", plan.waking_from), ("waking_to", plan.waking_to)]
    named += [("quiet", wall) for pair in plan.quiet for wall in pair]
    for field, wall in named:
        if wall.tzinfo is not None or wall.second or wall.microsecond:
            raise PlanError(field, "give a local time in whole minutes, like 08:30")
    if plan.waking_from >= plan.waking_to:
        raise PlanError(
            "waking_to",
            f"the window ends at {plan.waking_to:%H:%M}, before it begins at "
            f"{plan.waking_from:%H:%M}; give an end later the same day",
        )
    if any(start == stop for start, stop in plan.quiet):
        raise PlanError("quiet", "quiet hours need two different times")


def _check_counts(plan: ReminderPlan) -> None:
    if not 1 <= plan.times_per_day <= MOST_A_DAY:
        raise PlanError("times_per_day", f"choose 1 to {MOST_A_DAY} reminders a day")
    if plan.offset_minutes < 0:
        raise PlanError("offset_minutes", "give 0 or more minutes")
    if plan.ends_on is not None and plan.ends_on < plan.starts_on:
        raise PlanError("ends_on", "the last day lies before the first day")


def _check_room(plan: ReminderPlan) -> None:
    room = len(_free_minutes(plan.waking_from, plan.waking_to, plan.quiet))
    most = room // MINIMUM_GAP_MINUTES
    if room == 0:
        raise PlanError("quiet", "quiet hours leave no waking time to text in")
    if plan.times_per_day > max(most, 1):
        raise PlanError(
            "times_per_day",
            f"{plan.times_per_day} reminders at least {MINIMUM_GAP_MINUTES} minutes "
            f"apart do not fit; this window holds {max(most, 1)}: ask for fewer or "
            "widen it",
        )


def _is_active(plan: ReminderPlan, day: date) -> bool:
    ended = plan.ends_on is not None and day > plan.ends_on
    return day >= plan.starts_on and not ended and day not in plan.paused_days


@lru_cache(maxsize=4096)
def _free_minutes(
    start: time, stop: time, quiet: tuple[tuple[time, time], ...]
) -> tuple[int, ...]:
    """Minutes of the local day inside the waking window and outside quiet hours."""
    window = range(start.hour * 60 + start.minute, stop.hour * 60 + stop.minute)
    return tuple(
        minute for minute in window if not is_quiet(time(*divmod(minute, 60)), quiet)
    )


def _pick(room: int, count: int, offset: int) -> list[int]:
    """Positions of `count` evenly spaced slots among `room` free minutes.

    The last slot keeps as much room behind it as there is between two, so its
    session ends inside the waking window as well; the offset uses that room.
    """
    step = room // count
    return [index * step + offset % step for index in range(count)]


def _wall_times(plan: ReminderPlan, day: date) -> list[datetime]:
    free = _free_minutes(plan.waking_from, plan.waking_to, plan.quiet)
    picked = _pick(len(free), plan.times_per_day, plan.offset_minutes)
    midnight = datetime.combine(day, time())
    return [midnight + free[place] * _MINUTE for place in picked]


def _instant(local: datetime, zone: tzinfo) -> datetime:
    return local.replace(tzinfo=zone, fold=0).astimezone(UTC)


def _keeps_the_rules(plan: ReminderPlan, day: date, instants: list[datetime]) -> bool:
    """Spacing in real time and quiet hours, which a clock change can both break."""
    gap = timedelta(minutes=MINIMUM_GAP_MINUTES)
    spaced = all(later - earlier >= gap for earlier, later in pairwise(instants))
    return spaced and all(_may_text(plan, day, at) for at in instants)


def _may_text(plan: ReminderPlan, day: date, at: datetime) -> bool:
    local = at.astimezone(plan.zone)
    wall = local.time()
    awake = plan.waking_from <= wall < plan.waking_to
    return local.date() == day and awake and not is_quiet(wall, plan.quiet)


def _by_elapsed_time(plan: ReminderPlan, day: date) -> list[datetime]:
    """Slots spread over the minutes that really pass between the clock changes.

    Only for a day whose change falls into the waking window; a date the zone
    leaves out altogether (Apia, 30 December 2011) has none.
    """
    first = datetime.combine(day, time(), UTC) - timedelta(hours=15)
    every = (first + minute * _MINUTE for minute in range(54 * 60))
    free = [at for at in every if _may_text(plan, day, at)]
    if not free:
        return []
    count = min(plan.times_per_day, max(1, len(free) // MINIMUM_GAP_MINUTES))
    return [free[place] for place in _pick(len(free), count, plan.offset_minutes)]


def _moved_out(
    plan: ReminderPlan, day: date, instants: list[datetime]
) -> list[datetime]:
    """The one slot of a window the clocks skip whole: moved later, not dropped."""
    local = instants[0].astimezone(plan.zone)
    if local.date() != day or is_quiet(local.time(), plan.quiet):
        return []
    return instants[:1]


def _days(plan: ReminderPlan, start: datetime, end: datetime) -> Iterator[date]:
    day = max(plan.starts_on, start.astimezone(plan.zone).date() - timedelta(days=1))
    last = end.astimezone(plan.zone).date() + timedelta(days=1)
    if plan.ends_on is not None:
        last = min(last, plan.ends_on)
    while day <= last:
        yield day
        day += timedelta(days=1)
