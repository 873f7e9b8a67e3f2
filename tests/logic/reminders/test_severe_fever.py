"""Rigors and confusion are named apart from a plain fever, in three languages."""

import pytest

from reminders.logic.severe_fever import is_severe


@pytest.mark.parametrize(
    "body",
    [
        "fever 39 and I cant stop shivering",
        "Fever, shaking all over",
        "high temp and a bit confused",
        "tengo fiebre y estoy tiritando",
        "fiebre y algo confundido",
        "fièvre, je tremble de partout",
        "39 de fièvre et confuse",
    ],
)
def test_rigors_or_confusion_are_severe(body: str) -> None:
    assert is_severe(body)


@pytest.mark.parametrize(
    "body", ["fever 38 since yesterday", "fiebre desde ayer", "un peu de fièvre", ""]
)
def test_a_plain_fever_is_not(body: str) -> None:
    assert not is_severe(body)
