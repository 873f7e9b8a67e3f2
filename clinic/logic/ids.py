"""Identifiers: UUID version 7 (RFC 9562), ordered by the time they were made."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime
from uuid import UUID

from uuid_utils.compat import uuid7

_source: ContextVar[Callable[[], UUID]] = ContextVar("ids", default=uuid7)
_COUNT_BITS, _VERSION, _VARIANT = 42, 7, 0b10


def new_id() -> UUID:
    """A fresh identifier; later ones sort after earlier ones."""
    return _source.get()()


@contextmanager
def drawn_from(source: Callable[[], UUID]) -> Iterator[None]:
    """Take identifiers from `source` inside the block: for simulated time only."""
    token = _source.set(source)
    try:
        yield
    finally:
        _source.reset(token)


class SeededIds:
    """Identifiers of a simulated time: the same for the same seed and clock.

    The time in them is the clock's, so a row of a simulated Monday sorts before one
    of Tuesday; ids made within a millisecond sort by their count. They can be
    guessed: never for records of real people.
    """

    def __init__(self, seed: str, clock: Callable[[], datetime]) -> None:
        self._random = random.Random(f"ids/{seed}")
        self._clock = clock
        self._latest = 0
        self._count = 0

    def __call__(self) -> UUID:
        milliseconds = int(self._clock().timestamp() * 1000)
        self._latest = max(self._latest, milliseconds)
        self._count += 1
        high, low = divmod(self._count, 1 << (_COUNT_BITS - 12))
        tail = (low << 32) | self._random.getrandbits(32)
        return UUID(
            int=self._latest << 80 | _VERSION << 76 | high << 64 | _VARIANT << 62 | tail
        )
