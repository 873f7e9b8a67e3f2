"""A learned second opinion: does this text sound like a warning sign?

Rules decide. This only makes the reader ask back where the rules saw nothing at all,
and never takes anything away. Weights over pieces of words are learned from the
train split of `fixtures/replies` by `python -m tests.bench.replies.train`.
"""

from collections.abc import Iterator, Sequence
from functools import cache, lru_cache
from importlib.resources import files
from math import exp, sqrt
from zlib import crc32

BUCKETS = 1 << 14
SCALE = 16.0
_SIZES = (3, 4, 5)
_STEM = 5
_LONGEST_WORD = 24
_PASSAGE = 24
_FILE = "opinion.weights"


def sounds_alarming(words: Sequence[str]) -> bool:
    """Whether some passage of these folded words is as alarming as was learned.

    A long text is judged passage by passage: one sentence among many must not be
    thinned out by the rest. No words are never alarming.
    """
    weights, bias, bar = _weights()
    return any(probability(each, weights, bias) >= bar for each in passages(words))


def passages(words: Sequence[str]) -> Iterator[Sequence[str]]:
    """The whole of a short text; windows of a long one, overlapping by half."""
    if len(words) <= _PASSAGE:
        if words:
            yield words
        return
    for start in range(0, len(words) - _PASSAGE // 2, _PASSAGE // 2):
        yield words[start : start + _PASSAGE]


def probability(words: Sequence[str], weights: Sequence[int], bias: float) -> float:
    """How likely a person would be alarmed, 0 to 1, as logistic regression has it."""
    total, count = 0, 0
    for bucket in buckets(words):
        total += weights[bucket]
        count += 1
    score = bias + (total / SCALE) / sqrt(count) if count else bias
    return 1.0 / (1.0 + exp(-max(-30.0, min(30.0, score))))


def buckets(words: Sequence[str]) -> Iterator[int]:
    """Hashed features: pieces of every word, and pairs of word beginnings."""
    before = two_before = ""
    for word in words:
        yield from _pieces(word[:_LONGEST_WORD])
        stem = word[:_STEM]
        yield _bucket(f"{before} {stem}")
        yield _bucket(f"{two_before} . {stem}")
        two_before, before = before, stem


@lru_cache(maxsize=8192)
def _pieces(word: str) -> tuple[int, ...]:
    framed = f"<{word}>"
    pieces = {
        framed[at : at + size]
        for size in _SIZES
        for at in range(len(framed) - size + 1)
    }
    return tuple(_bucket(each) for each in sorted(pieces | {framed}))


def _bucket(feature: str) -> int:
    return crc32(feature.encode()) % BUCKETS


@cache
def _weights() -> tuple[Sequence[int], float, float]:
    """Weights as signed bytes, then bias and threshold in thousandths."""
    raw = (files("reminders.logic.reply") / _FILE).read_bytes()
    if len(raw) != BUCKETS + 8:
        raise ValueError(f"{_FILE} is damaged: train it anew")
    weights = memoryview(raw[:BUCKETS]).cast("b")
    bias = int.from_bytes(raw[BUCKETS : BUCKETS + 4], "big", signed=True) / 1000
    bar = int.from_bytes(raw[BUCKETS + 4 :], "big", signed=True) / 1000
    return weights, bias, bar
