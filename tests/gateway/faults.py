"""What can go wrong at a gateway, on order or at a rate.

A fault that happens after the text was taken is the cruel kind: the caller is told
nothing, or told a lie, and the text leaves all the same.
"""

from __future__ import annotations

import random
import threading
from collections import deque
from dataclasses import dataclass, field
from enum import StrEnum


class Fault(StrEnum):
    """Each is named by what the caller sees, and whether the text was taken."""

    TOO_MANY = "too_many"  # 429, not processed
    UNAUTHORIZED = "unauthorized"  # 401, code 20003
    HTML_500 = "html_500"  # a page of the proxy's, not taken
    HTML_500_TAKEN = "html_500_taken"
    HTML_503 = "html_503"
    PROBLEM = "problem"  # RFC 9457 body
    HANG = "hang"  # no answer, not taken
    HANG_TAKEN = "hang_taken"
    RESET = "reset"  # connection cut before anything was taken
    RESET_TAKEN = "reset_taken"
    CUT_ANSWER = "cut_answer"  # taken, the answer's body ends in the middle
    NOT_JSON = "not_json"  # taken, 201 with a page instead of JSON


TAKEN = frozenset(
    {
        Fault.HTML_500_TAKEN,
        Fault.HANG_TAKEN,
        Fault.RESET_TAKEN,
        Fault.CUT_ANSWER,
        Fault.NOT_JSON,
    }
)


@dataclass
class Faults:
    """Faults for the next texts: those ordered first, then by rate from a seed."""

    rates: dict[Fault, float] = field(default_factory=dict)
    seed: int = 0
    ordered: deque[Fault | None] = field(default_factory=deque)
    hang_seconds: float = 30.0
    released: threading.Event = field(default_factory=threading.Event)

    def __post_init__(self) -> None:
        self._random = random.Random(self.seed)
        self._lock = threading.Lock()

    def order(self, *faults: Fault | None) -> None:
        """The next texts meet these, one each; None is a text that goes well."""
        self.ordered.extend(faults)

    def draw(self) -> Fault | None:
        """The fault of one text."""
        with self._lock:
            if self.ordered:
                return self.ordered.popleft()
            chance = self._random.random()
            for fault, rate in self.rates.items():
                if chance < rate:
                    return fault
                chance -= rate
            return None

    def hang(self) -> None:
        """Keep the caller waiting; ends early when the server closes."""
        self.released.wait(self.hang_seconds)
