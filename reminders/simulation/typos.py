"""Slips of the thumb: letters swapped, dropped or doubled, never in a number."""

import random
import re
from collections.abc import Collection
from typing import Final

_WORD: Final = re.compile(r"\w+")
_SHORTEST: Final = 4


def with_typos(
    text: str, rng: random.Random, *, rate: float, protected: Collection[str] = ()
) -> str:
    """Return `text` with about `rate` of its longer words misspelled by one letter.

    Words with a digit, words under four letters and the `protected` words (number
    words) stay whole: a slipped rating would be another fact, not a typo.
    """
    if rate <= 0:
        return text

    def slip(match: re.Match[str]) -> str:
        word = match.group()
        is_open = word.isalpha() and len(word) >= _SHORTEST
        if not is_open or word.lower() in protected or rng.random() >= rate:
            return word
        return _slipped(word, rng)

    return _WORD.sub(slip, text)


def _slipped(word: str, rng: random.Random) -> str:
    """One letter of `word` swapped with the next, dropped or doubled.

    The first letter stays: people notice that one, and readers lean on it.
    """
    at = rng.randrange(1, len(word) - 1)
    kind = rng.choice(("swap", "drop", "double"))
    if kind == "swap":
        return word[:at] + word[at + 1] + word[at] + word[at + 2 :]
    if kind == "drop":
        return word[:at] + word[at + 1 :]
    return word[:at] + word[at] + word[at:]
