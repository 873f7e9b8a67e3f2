"""Learns the second opinion: `python -m tests.bench.replies.train`.

From the train split and the texts of `fixtures/replies/heard`; the kept split is not
looked at. Logistic regression by stochastic gradient, pure Python, fixed seed. The
threshold is chosen by five-fold cross-validation among the rows where the rules see
nothing: the lowest at which no more than a set share of harmless rows is asked back.
Run it after the vocabulary has changed: it learns from concepts as well.
"""

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, sqrt
from pathlib import Path
from random import Random

from reminders.logic.reply import opinion
from reminders.logic.reply.reading import readings
from reminders.logic.reply.result import WARNINGS
from reminders.logic.reply.tokens import tokenize
from tests.bench.replies.rows import Row, heard, rows

EPOCHS, RATE, SHRINK, FOLDS = 15, 0.5, 1e-4, 5
ASKED_IN_VAIN = 0.012
ALARMING, HARMLESS = ("warn", "ask"), ("plain", "near")
TARGET = Path(opinion.__file__).with_name("opinion.weights")


@dataclass(frozen=True, slots=True)
class Example:
    """A row's passages as features, whether it alarms, and whether rules see a sign."""

    passages: tuple[tuple[int, ...], ...]
    alarms: bool
    silent: bool


def main() -> None:
    """Cross-validate, choose the threshold, learn from all, write the weights."""
    every = [_example(row) for row in (*rows("train"), *heard())]
    Random(1).shuffle(every)
    bar = _threshold(every, _cross_validated(every))
    weights, bias = learn(every)
    TARGET.write_bytes(_packed(weights, bias, bar))
    sys.stdout.write(f"threshold {bar:.3f}, {TARGET.stat().st_size} bytes\n")


def learn(examples: Sequence[Example]) -> tuple[list[float], float]:
    """Weights and bias; alarming examples count as much together as the others."""
    random = Random(20261125)
    weights, bias = [0.0] * opinion.BUCKETS, 0.0
    alarming = sum(each.alarms for each in examples)
    heavy = (len(examples) - alarming) / max(1, alarming)
    order = [(p, e.alarms) for e in examples for p in e.passages if p]
    for epoch in range(EPOCHS):
        random.shuffle(order)
        rate = RATE / (1 + epoch)
        for found, label in order:
            norm = 1 / sqrt(len(found))
            score = bias + norm * sum(weights[each] for each in found)
            error = label - 1 / (1 + exp(-max(-30.0, min(30.0, score))))
            step = rate * error * (heavy if label else 1.0)
            bias += step * 0.1
            for each in found:
                weights[each] += step * norm - rate * SHRINK * weights[each]
    return weights, bias


def _example(row: Row) -> Example:
    every = readings(tokenize(row.text), row.language, row.asked)
    passages = (
        tuple(opinion.features(every[0], *each)) for each in opinion.passages(every[0])
    )
    return Example(
        passages=tuple(passages),
        alarms=row.kind in ALARMING,
        silent=not any(f.sign.kind in WARNINGS for r in every for f in r.signs),
    )


def _cross_validated(every: Sequence[Example]) -> list[float]:
    """Each example's chance as told by what was learned from the other folds."""
    chances = [0.0] * len(every)
    for fold in range(FOLDS):
        others = [each for at, each in enumerate(every) if at % FOLDS != fold]
        weights, bias = learn(others)
        rounded = [_rounded(each) for each in weights]
        for at in range(fold, len(every), FOLDS):
            parts = ((sum(rounded[x] for x in p), len(p)) for p in every[at].passages)
            chances[at] = max(opinion.chance(part, bias) for part in parts)
    return chances


def _threshold(every: Sequence[Example], chances: Sequence[float]) -> float:
    pairs = [(c, e.alarms) for c, e in zip(chances, every, strict=True) if e.silent]
    harmless = sorted((c for c, alarms in pairs if not alarms), reverse=True)
    missed = [c for c, alarms in pairs if alarms]
    total = sum(not each.alarms for each in every)
    allowed = int(ASKED_IN_VAIN * total)
    bar = max(0.5, harmless[allowed] + 1e-3 if allowed < len(harmless) else 0.5)
    caught = sum(chance >= bar for chance in missed)
    in_vain = sum(chance >= bar for chance in harmless)
    sys.stdout.write(
        f"rules silent on {len(missed)} alarming rows, of which {caught} would be asked"
        f" back; {in_vain} of {total} harmless rows too (cross-validated)\n"
    )
    return bar


def _rounded(weight: float) -> int:
    return max(-127, min(127, round(weight * opinion.SCALE)))


def _packed(weights: Sequence[float], bias: float, bar: float) -> bytes:
    signed = bytes(_rounded(each) & 0xFF for each in weights)
    ends = [round(each * 1000).to_bytes(4, "big", signed=True) for each in (bias, bar)]
    return signed + b"".join(ends)


if __name__ == "__main__":
    main()
