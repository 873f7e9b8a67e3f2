"""How fast replies are read: processor time of one core, which a busy machine bears."""

import subprocess
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from statistics import quantiles
from time import process_time

from tests.bench.replies.figures import Reader
from tests.bench.replies.rows import Row

LONG = 1_600
LONG_TEXTS_A_LANGUAGE = 100
IMPORT_TARGET, RATE_TARGET, LONG_TARGET = 0.3, 2_000, 0.005
_FRESH = """
from time import process_time
began = process_time()
from {module} import {name}
imported = process_time()
{name}("done, pain 3/10, leg better")
print(imported - began, process_time() - imported)
"""


@dataclass(frozen=True, slots=True)
class Speed:
    """Replies a second, seconds of a fresh start, quantiles of long texts."""

    rate: float
    imported: float
    first_read: float
    long_texts: dict[str, tuple[float, float]]


def measure(split: Sequence[Row], reader: Reader) -> Speed:
    """All of it; the split has been read once before, so caches are warm."""
    imported, first_read = fresh_start(reader)
    return Speed(
        rate=rate(split, reader),
        imported=imported,
        first_read=first_read,
        long_texts={
            name: _quantiles(list(long_texts(split, joint)), reader)
            for name, joint in (("with punctuation", ". "), ("without", " "))
        },
    )


def rate(split: Sequence[Row], reader: Reader) -> float:
    """Replies a second over the whole split, the best of three passes."""
    best = min(_pass(split, reader) for _ in range(3))
    return len(split) / best


def _pass(split: Sequence[Row], reader: Reader) -> float:
    began = process_time()
    for row in split:
        reader(row.text, language=row.language, asked=row.asked)
    return process_time() - began


def fresh_start(reader: Reader) -> tuple[float, float]:
    """Seconds to import the reader and to read one first text, best of three."""
    code = _FRESH.format(module=reader.__module__, name=reader.__name__)
    runs = []
    for _ in range(3):
        run = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True
        )
        imported, first = map(float, run.stdout.split())
        runs.append((imported, first))
    return min(runs)


def long_texts(split: Sequence[Row], joint: str) -> Iterator[tuple[str, str]]:
    """(language, text) of replies of one language run together to 1,600 characters."""
    for language in sorted({row.language for row in split}):
        texts = [row.text for row in split if row.language == language]
        step = max(1, len(texts) // LONG_TEXTS_A_LANGUAGE)
        for start in islice(range(0, len(texts), step), LONG_TEXTS_A_LANGUAGE):
            whole = joint.join(texts[start:] + texts[:start])
            yield language, whole[:LONG]


def _quantiles(texts: list[tuple[str, str]], reader: Reader) -> tuple[float, float]:
    """Median and 99th percentile in seconds; of each text the best of three."""
    times = [min(_once(*each, reader) for _ in range(3)) for each in texts]
    cuts = quantiles(times, n=100, method="inclusive")
    return cuts[49], cuts[98]


def _once(language: str, text: str, reader: Reader) -> float:
    began = process_time()
    reader(text, language=language)
    return process_time() - began
