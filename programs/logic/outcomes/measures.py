"""Every measure by its code, and the course of one: what each time says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from programs.logic.outcomes.grc import GRC
from programs.logic.outcomes.nprs import NPRS
from programs.logic.outcomes.odi import ODI
from programs.logic.outcomes.psfs import PSFS
from programs.logic.outcomes.rmdq import RMDQ
from programs.logic.outcomes.start_back import START_BACK
from programs.logic.outcomes.values import Change, Measure, Taken

MEASURES: Final[dict[str, Measure]] = {
    one.code: one for one in (NPRS, RMDQ, PSFS, GRC, ODI, START_BACK)
}


@dataclass(frozen=True, slots=True)
class Step:
    """One time of a course: what it says alone, since the first, since the last."""

    taken: Taken
    reads: str
    since_first: Change | None
    since_last: Change | None


def course(measure: Measure, taken: Sequence[Taken]) -> list[Step]:
    """Every time a measure was taken, oldest first, held against the first and last.

    A rating of change is a change already: each answer stands for itself.
    """
    ordered = sorted(taken, key=lambda one: one.at)
    if measure.code == GRC.code:
        return [
            Step(one, measure.reads(one), measure.change(one, one), None)
            for one in ordered
        ]
    return [
        Step(
            one,
            measure.reads(one),
            measure.change(ordered[0], one) if index else None,
            measure.change(ordered[index - 1], one) if index > 1 else None,
        )
        for index, one in enumerate(ordered)
    ]
