"""Who on the on-call chain to page next about an emergency.

Pure and deterministic: the same pages and clock always give the same person.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta


@dataclass(frozen=True, slots=True)
class Page:
    """One page sent: the place on the chain (from 0) and when."""

    position: int
    at: datetime


def next_page(
    opened_at: datetime,
    acknowledged_at: datetime | None,
    pages: Sequence[Page],
    *,
    chain_length: int,
    now: datetime,
    wait: timedelta,
    on_duty: Sequence[bool] = (),
) -> int | None:
    """Return the place on the chain to page now, or None to wait.

    The first page is due at once, each next one `wait` after the last, at any
    hour, round and round until a person acknowledges: a chain that ends is a
    chain on which everybody slept. Only what happened since `opened_at` counts,
    so an alert raised anew is not silenced by yesterday's acknowledgment. Places
    that `on_duty` says are off (True where it is silent) are passed over, unless
    everybody is off: then all are paged, because hours with a gap in them must not
    leave an emergency with no one. An empty chain gives None; that the chain is
    empty must be caught at start-up. Raises ValueError for a negative length or a
    wait that is not positive.
    """
    if chain_length < 0 or wait <= timedelta(0):
        raise ValueError("the chain needs a length of 0 or more and a positive wait")
    if chain_length == 0 or _is_acknowledged(opened_at, acknowledged_at):
        return None
    sent = [page for page in pages if page.at >= opened_at]
    if not sent:
        return _first_on_duty(0, chain_length, on_duty)
    last = max(sent, key=lambda page: page.at)
    if now - last.at < wait:
        return None
    return _first_on_duty(last.position + 1, chain_length, on_duty)


def _first_on_duty(start: int, length: int, on_duty: Sequence[bool]) -> int:
    """The first place on duty from `start`, round; `start` itself when all are off."""
    order = [(start + step) % length for step in range(length)]
    off = {place for place, on in enumerate(on_duty) if not on}
    return next((place for place in order if place not in off), order[0])


def _is_acknowledged(opened_at: datetime, acknowledged_at: datetime | None) -> bool:
    return acknowledged_at is not None and acknowledged_at >= opened_at
