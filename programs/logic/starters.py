"""Starter templates: home programs an organization begins with and then owns."""

from collections.abc import Mapping
from dataclasses import dataclass

from programs.logic.exercises import CommonDose


@dataclass(frozen=True, slots=True)
class StarterItem:
    """One exercise of a starter template at its dose; the first item comes first."""

    code: str
    dose: CommonDose


@dataclass(frozen=True, slots=True)
class StarterTemplate:
    """A home program of the trade, for a clinician to adapt and prescribe.

    `times_per_day` is reminders a day; an item done less often says so in its own
    dose. `review_after_days` counts from the day it is prescribed. `stop_rules` are
    keys of shared sentences; `names` and `uses` are by language.
    """

    code: str
    names: Mapping[str, str]
    uses: Mapping[str, str]
    times_per_day: int
    review_after_days: int
    stop_rules: tuple[str, ...]
    items: tuple[StarterItem, ...]

    def name(self, language: str) -> str:
        """The name in `language`; English where the language is not carried."""
        return self.names.get(language, self.names["en"])
