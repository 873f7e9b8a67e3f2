"""One entry of the starter templates file, checked, into a `StarterTemplate`."""

from collections.abc import Mapping

from programs.library.fields import (
    LibraryError,
    Phrases,
    Table,
    dose,
    per_language,
    phrase_keys,
    refuse_unknown,
    table,
    whole,
    word,
)
from programs.logic.exercises import DOSE_BOUNDS, Exercise
from programs.logic.starters import StarterItem, StarterTemplate

_FIELDS = ("name", "use", "times_per_day", "review_after_days", "stop_rules", "items")
# Few exercises are done better than many (Henry 1999, from memory).
MOST_ITEMS = 3
_LONGEST_REVIEW = 28


def starter_from(
    code: str,
    entry: Table,
    *,
    file: str,
    library: Mapping[str, Exercise],
    phrases: Phrases,
) -> StarterTemplate:
    """The template one table holds.

    Raises `LibraryError` naming the file, the template and the field at fault.
    """
    place = f"{file} [{code}]"
    if not isinstance(entry, dict):
        raise LibraryError(file, code, "must be a table")
    refuse_unknown(entry, _FIELDS, place)
    low, high = DOSE_BOUNDS["times_per_day"]
    times = whole(entry, "times_per_day", place, low=low, high=high)
    return StarterTemplate(
        code=code,
        names=per_language(table(entry, "name", place), "name", place),
        uses=per_language(table(entry, "use", place), "use", place),
        times_per_day=times,
        review_after_days=whole(
            entry, "review_after_days", place, low=1, high=_LONGEST_REVIEW
        ),
        stop_rules=phrase_keys(
            entry, "stop_rules", place, kind="stop_if", phrases=phrases
        ),
        items=_items(entry, place, library, times),
    )


def _items(
    entry: Table, place: str, library: Mapping[str, Exercise], times: int
) -> tuple[StarterItem, ...]:
    listed = entry.get("items")
    if not isinstance(listed, list) or not 1 <= len(listed) <= MOST_ITEMS:
        raise LibraryError(place, "items", f"must list 1 to {MOST_ITEMS} exercises")
    items = tuple(_item(one, place, library) for one in listed)
    if any(item.dose.times_per_day > times for item in items):
        message = "an item is done more often than the program reminds"
        raise LibraryError(place, "times_per_day", message)
    return items


def _item(entry: Table, place: str, library: Mapping[str, Exercise]) -> StarterItem:
    code = word(entry, "code", place)
    if code not in library:
        raise LibraryError(place, "code", f"no exercise is called {code!r}")
    rest = {field: value for field, value in entry.items() if field != "code"}
    return StarterItem(code=code, dose=dose(rest, library[code].kind, place))
