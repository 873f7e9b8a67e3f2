"""Intervals of the reply figures against Newcombe's worked examples.

Newcombe, Two-sided confidence intervals for the single proportion: comparison of seven
methods, Statistics in Medicine 1998;17:857-872, table I, method 3 (Wilson's score).
"""

import pytest

from tests.bench.replies.figures import Figure


@pytest.mark.parametrize(
    ("hits", "total", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_an_interval_is_the_published_one(
    hits: int, total: int, low: float, high: float
) -> None:
    found = Figure(hits, total).interval
    assert found == pytest.approx((100 * low, 100 * high), abs=0.006)


def test_nothing_measured_tells_nothing() -> None:
    assert Figure(0, 0).percent is None
    assert Figure(0, 0).interval == (0, 100)
    assert Figure(0, 0).meets(99.5)


def test_a_mistake_counts_against_a_ceiling() -> None:
    assert Figure(2, 100, most=True).meets(2)
    assert not Figure(3, 100, most=True).meets(2)
    assert not Figure(97, 100).meets(98)
