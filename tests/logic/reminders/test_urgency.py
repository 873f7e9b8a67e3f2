import pytest

from reminders.logic.urgency import URGENCIES, at_least, rank, worst


def test_urgencies_run_from_most_to_least_urgent():
    assert URGENCIES == ("emergency", "same_day", "next_day", "review")
    assert [rank(urgency) for urgency in URGENCIES] == [0, 1, 2, 3]


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        (["review", "emergency", "next_day"], "emergency"),
        (["review", None, "next_day"], "next_day"),
        ([None, None], None),
        ([], None),
    ],
)
def test_worst_is_the_most_urgent_stated(given, expected):
    assert worst(given) == expected


def test_an_unknown_urgency_is_refused_with_the_words_to_use():
    with pytest.raises(ValueError, match="emergency, same_day, next_day, review"):
        rank("urgent")


def test_at_least_includes_its_floor():
    assert at_least("same_day", "same_day")
    assert at_least("emergency", "same_day")
    assert not at_least("next_day", "same_day")
