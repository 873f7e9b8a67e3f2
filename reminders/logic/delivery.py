"""The life of an outbound text: its states, its moves, and the gateway's word on it.

A gateway call is not idempotent, so a text whose fate is not known is `unknown` and
is looked up, never sent again blindly: a missed reminder costs one session, a double
one costs trust.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from pathlib import Path
from typing import Any, Literal


class State(StrEnum):
    """Where a text stands. `sent` to `failed` are the gateway's and carriers' words."""

    PENDING = "pending"
    HELD = "held"
    CLAIMED = "claimed"
    SENDING = "sending"
    UNKNOWN = "unknown"
    ABANDONED = "abandoned"
    EXPIRED = "expired"
    CANCELLED = "cancelled"
    ACCEPTED = "accepted"
    SENT = "sent"
    FAILED = "failed"
    UNDELIVERED = "undelivered"
    DELIVERED = "delivered"


class StateError(ValueError):
    """A move between two states that must not happen."""


MOVES: Mapping[State, frozenset[State]] = {
    State.PENDING: frozenset(
        {State.CLAIMED, State.HELD, State.EXPIRED, State.CANCELLED}
    ),
    State.HELD: frozenset({State.PENDING, State.EXPIRED, State.CANCELLED}),
    State.CLAIMED: frozenset(
        {State.SENDING, State.PENDING, State.HELD, State.EXPIRED, State.CANCELLED}
    ),
    # Back to pending only when the call is known never to have been accepted.
    State.SENDING: frozenset(
        {State.ACCEPTED, State.UNKNOWN, State.PENDING, State.FAILED}
    ),
    State.UNKNOWN: frozenset({State.ACCEPTED, State.PENDING, State.ABANDONED}),
    State.FAILED: frozenset({State.PENDING}),
    State.UNDELIVERED: frozenset({State.PENDING}),
}
"""What our own code may do. The gateway's word moves a text by `apply_status`."""

_RANK: Mapping[State, int] = {
    State.ACCEPTED: 1,
    State.SENT: 2,
    State.FAILED: 3,
    State.UNDELIVERED: 4,
    State.DELIVERED: 5,
}
"""Anything not handed over yet ranks 0. A delivery receipt outranks a failure."""

_GATEWAY_WORDS: Mapping[str, State] = {
    "accepted": State.ACCEPTED,
    "scheduled": State.ACCEPTED,
    "queued": State.ACCEPTED,
    "sending": State.ACCEPTED,
    "sent": State.SENT,
    "failed": State.FAILED,
    "canceled": State.FAILED,
    "undelivered": State.UNDELIVERED,
    "partially_delivered": State.UNDELIVERED,
    "delivered": State.DELIVERED,
    "read": State.DELIVERED,
}

Retry = Literal["no", "yes", "later", "once", "ambiguous"]


@dataclass(frozen=True, slots=True)
class Reaction:
    """What to do about a failure.

    `retry`: no; yes, after a back-off; later, if the session is not over; once;
    ambiguous, which means look it up at the gateway and never resend. `action` is
    the code of what else must happen, explained beside the table.
    """

    retry: Retry
    action: str


def move(state: State, to: State) -> State:
    """`to`, if our code may take a text there from `state`; raises StateError."""
    if not can_move(state, to):
        raise StateError(f"a text that is {state} cannot become {to}")
    return to


def can_move(state: State, to: State) -> bool:
    """Whether our own code may take a text from `state` to `to`."""
    return to in MOVES.get(state, frozenset())


def apply_status(state: State, callback_status: str) -> State:
    """The state after a status callback about this very sending of the text.

    Callbacks come late, twice and out of order; the state only moves up, so every
    order of the same callbacks ends alike. A word not known here changes nothing.
    A callback also lifts a text we had given up on: the gateway knows better. Keep
    callbacks about an earlier try (another gateway id) away from it.
    """
    said = _GATEWAY_WORDS.get(callback_status.strip().lower())
    if said is None or _RANK[said] <= _RANK.get(state, 0):
        return state
    return said


def contradicts(state: State, callback_status: str) -> bool:
    """Whether a callback tells a different end of the story; worth a log entry."""
    said = _GATEWAY_WORDS.get(callback_status.strip().lower())
    ends = (State.FAILED, State.UNDELIVERED, State.DELIVERED)
    return state in ends and said in ends and said != state


def reaction(
    *,
    code: int | None = None,
    http_status: int | None = None,
    exception: str | None = None,
) -> Reaction:
    """What to do about a refused, failed or doubtful sending.

    `code` is the gateway's error code, `exception` a kind such as "read_timeout"
    (see gateway_errors.toml). The gateway library repeats the HTTP status as code
    when the answer was no JSON, so a small code counts as status. What is not known
    is never sent again and is shown to staff.
    """
    table = _table()
    if exception is not None:
        return table["exception"].get(exception, table["default"]["exception"])
    if code is not None and code >= 1000:
        by_code = table["code"].get(str(code))
        return by_code or _by_status(http_status, fallback="code")
    return _by_status(http_status if code is None else code, fallback="code")


def _by_status(status: int | None, *, fallback: str) -> Reaction:
    table = _table()
    if status is None:
        return table["default"][fallback]
    family = f"{status // 100}xx"
    known = table["http_status"]
    return known.get(str(status)) or known.get(family) or table["default"][fallback]


@cache
def _table() -> dict[str, dict[str, Reaction]]:
    raw: dict[str, dict[str, Any]] = tomllib.loads(
        Path(__file__).with_name("gateway_errors.toml").read_text(encoding="utf-8")
    )
    return {
        kind: {name: Reaction(**entry) for name, entry in entries.items()}
        for kind, entries in raw.items()
    }
