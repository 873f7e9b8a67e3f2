"""The rows of a site's on-call chain as a form: kept, typed, rearranged, read."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from clinic import access
from clinic.errors import PlumblineError
from clinic.forms import OnCallRow
from clinic.models import Site, Staff

MOST = 8
_WHERE = re.compile(r"chain\.(\d+)\.(\w+)")


class OnCallRows:
    """The chain's rows in order; an empty row is nobody and is left out."""

    def __init__(self, site: Site, values: list[dict[str, str]], *, bound: bool):
        self.site, self.values, self.bound = site, values[:MOST], bound
        self.error = ""
        self._build()

    @classmethod
    def kept(cls, site: Site) -> OnCallRows:
        """The chain as it is, and an empty row behind it."""
        values = [
            {
                "staff": str(entry.staff_id),
                "number": entry.number,
                "hours": entry.hours,
            }
            for entry in site.on_call.order_by("position")
        ]
        return cls(site, [*values, {}], bound=False)

    @classmethod
    def typed(cls, site: Site, data: Mapping[str, str]) -> OnCallRows:
        """The rows as they were posted."""
        values = []
        for index in range(MOST):
            if f"chain-{index}-staff" in data:
                names = ("staff", "number", "hours")
                values.append({n: data.get(f"chain-{index}-{n}", "") for n in names})
        return cls(site, values, bound=True)

    def rearrange(self, act: str) -> bool:
        """Carry out "add", "up-1" or "remove-0"; False when it is none of these."""
        verb, _, place = act.partition("-")
        index = int(place) if place.isdecimal() and len(place) < 3 else -1
        if verb == "add":
            self.values = [*self.values, {}][:MOST]
        elif verb == "remove" and 0 <= index < len(self.values):
            del self.values[index]
        elif verb == "up" and 0 < index < len(self.values):
            pair = slice(index - 1, index + 1)
            self.values[pair] = reversed(self.values[pair])
        else:
            return False
        self.bound = False
        self._build()
        return True

    def is_valid(self) -> bool:
        """Whether every row can be read."""
        return all([row.is_valid() for row in self.rows])

    def chain(self) -> list[tuple[Staff, str]]:
        """People with their numbers, first one first."""
        return [
            (row.cleaned_data["staff"], row.cleaned_data["number"])
            for row in self._filled()
        ]

    def hours(self) -> list[str]:
        """When each of `chain` is on duty."""
        return [row.cleaned_data["hours"] for row in self._filled()]

    def show(self, error: PlumblineError) -> None:
        """Put a refusal of the writer beside the row it names."""
        where = _WHERE.fullmatch(error.field or "")
        if where:
            self._filled()[int(where[1])].add_error(where[2], str(error))
        else:
            self.error = str(error)

    def _filled(self) -> list[OnCallRow]:
        return [row for row in self.rows if row.cleaned_data.get("staff")]

    def _build(self) -> None:
        people = access.clinicians_of(self.site)
        self.rows = [self._row(index, people) for index in range(len(self.values))]

    def _row(self, index: int, people: Any) -> OnCallRow:
        prefix, values = f"chain-{index}", self.values[index]
        if self.bound:
            data = {f"{prefix}-{name}": value for name, value in values.items()}
            return OnCallRow(data, prefix=prefix, people=people)
        return OnCallRow(initial=values, prefix=prefix, people=people)
