"""A learned second opinion: does this text sound like a warning sign?

Rules decide. This only makes the reader ask back where the rules saw no sign at all,
and never takes anything away. Weights over pieces of words and over concepts that
stand near each other are learned from the train split of `fixtures/replies` by
`python -m tests.bench.replies.train`; concepts carry what one language taught to
the others.
"""

from collections.abc import Iterator, Sequence
from functools import cache, lru_cache
from importlib.resources import files
from math import exp, sqrt
from zlib import crc32

from reminders.logic.reply.marks import Mark
from reminders.logic.reply.reading import Reading

BUCKETS = 1 << 15
SCALE = 16.0
_SIZES = (3, 4, 5)
_STEM, _LONGEST_WORD = 5, 24
_PASSAGE, _NEAR = 24, 8
# Concepts of words that stand in every text.
_EVERYWHERE = ("filler", "pointer", "scope", "answer", "number", "polite", "greeting")
_FILE = "opinion.weights"
Sum = tuple[int, int]


def sounds_alarming(reading: Reading) -> bool:
    """Whether some passage is as alarming as the learned threshold.

    A long text is judged passage by passage: one sentence among many must not be
    thinned out by the rest.
    """
    _, bias, bar = _weights()
    return any(chance(sums(reading, *each), bias) >= bar for each in passages(reading))


def chance(found: Sum, bias: float) -> float:
    """How likely a person would be alarmed, 0 to 1, as logistic regression has it."""
    total, count = found
    score = bias + (total / SCALE) / sqrt(count) if count else bias
    return 1.0 / (1.0 + exp(-max(-30.0, min(30.0, score))))


def passages(reading: Reading) -> Iterator[tuple[int, int]]:
    """Token ranges: all of a short text; windows of a long one, half overlapping."""
    count = len(reading.tokens)
    for start in range(0, max(1, count - _PASSAGE // 2), _PASSAGE // 2):
        yield start, min(count, start + _PASSAGE)


def sums(reading: Reading, start: int, end: int) -> Sum:
    """Sum of the weights of a passage's features, and how many there are."""
    parts = [_word_sum(word) for word in _words(reading, start, end)]
    marks = reading.nested.between(start, end)
    parts += [_concept_sum(mark.concepts) for mark in marks]
    parts += [_pair_sum(a.concepts, b.concepts) for a, b in _pairs(marks)]
    return sum(part[0] for part in parts), sum(part[1] for part in parts)


def features(reading: Reading, start: int, end: int) -> Iterator[int]:
    """Buckets of the same features, for learning."""
    for word in _words(reading, start, end):
        yield from _pieces(word)
    marks = reading.nested.between(start, end)
    for mark in marks:
        yield from _concept_buckets(mark.concepts)
    for a, b in _pairs(marks):
        yield from _pair_buckets(a.concepts, b.concepts)


def _words(reading: Reading, start: int, end: int) -> Iterator[str]:
    """The words, and each beginning of a word with that of the one before."""
    before = ""
    for token in reading.tokens[start:end]:
        if token.kind == "word":
            word = token.text[:_LONGEST_WORD]
            yield word
            yield f"{before} {word[:_STEM]}"
            before = word[:_STEM]


def _pairs(marks: Sequence[Mark]) -> Iterator[tuple[Mark, Mark]]:
    """Marks that begin within a few words of each other, in order."""
    for at, mark in enumerate(marks):
        for other in marks[at + 1 :]:
            if other.start - mark.start > _NEAR:
                break
            yield mark, other


@lru_cache(maxsize=16384)
def _pieces(word: str) -> tuple[int, ...]:
    if " " in word:
        return (_bucket(word),)
    framed = f"<{word}>"
    pieces = {
        framed[at : at + size]
        for size in _SIZES
        for at in range(len(framed) - size + 1)
    }
    return tuple(_bucket(each) for each in sorted(pieces | {framed}))


@cache
def _telling(concepts: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(each for each in concepts if not each.startswith(_EVERYWHERE))


@cache
def _concept_buckets(concepts: tuple[str, ...]) -> tuple[int, ...]:
    return tuple(_bucket(f"c:{each}") for each in _telling(concepts))


@lru_cache(maxsize=65536)
def _pair_buckets(a: tuple[str, ...], b: tuple[str, ...]) -> tuple[int, ...]:
    return tuple(
        _bucket(f"{one}>{two}")
        for one in _telling(a)
        for two in _telling(b)
        if one != two
    )


@lru_cache(maxsize=16384)
def _word_sum(word: str) -> Sum:
    return _summed(_pieces(word))


@cache
def _concept_sum(concepts: tuple[str, ...]) -> Sum:
    return _summed(_concept_buckets(concepts))


@lru_cache(maxsize=65536)
def _pair_sum(a: tuple[str, ...], b: tuple[str, ...]) -> Sum:
    return _summed(_pair_buckets(a, b))


def _summed(buckets: Sequence[int]) -> Sum:
    weights = _weights()[0]
    return sum(weights[each] for each in buckets), len(buckets)


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
