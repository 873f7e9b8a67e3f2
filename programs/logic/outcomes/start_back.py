"""STarT Back, nine items: typed total and distress score only.

The university holds the copyright and electronic use needs its permission, so no item
appears anywhere in this service. Distress is the sum of the last five items. Distress
4 or more: high; else total 4 or more: medium; else low (Hill 2008). It sorts people;
no bounds of change are held here.
"""

from __future__ import annotations

from typing import Final

from programs.logic.outcomes.values import (
    AnswerError,
    Answers,
    Bounds,
    Change,
    Measure,
    Score,
    Taken,
    between,
    only,
    whole,
)

CUT, OTHERS = 4, 4


def score(answers: Answers) -> Score:
    """The total; both numbers are needed, and must be possible together."""
    only(answers, "total", "distress")
    total = whole(answers, "total", 0, 9)
    distress = whole(answers, "distress", 0, 5)
    if not distress <= total <= distress + OTHERS:
        raise AnswerError(
            "These cannot go together: distress is five of the nine items.", "distress"
        )
    return Score(total)


def group(total: int, distress: int) -> str:
    """The risk group of a total and its distress part: high, medium or low."""
    if distress >= CUT:
        return "high"
    return "medium" if total >= CUT else "low"


def change(first: Taken, now: Taken) -> Change:
    """The difference, and whether the group is another one."""
    bounds = Bounds(None, None, "a sorting tool, no bounds of change are held here")
    found = between(first.value, now.value, bounds, lower_is_better=True)
    before, after = reads(first), reads(now)
    groups = f"Now {after}, before {before}." if before != after else f"Still {after}."
    said = f"{found.sentence} {groups}"
    return Change(found.difference, None, found.better, None, None, said)


def reads(taken: Taken) -> str:
    """The risk group in words."""
    found = group(int(taken.value), int(taken.answers["distress"]))
    return f"{found} risk group"


START_BACK: Final = Measure(
    code="start_back",
    name="STarT Back, typed result",
    low=0,
    high=9,
    unit="of 9",
    by_link=(),
    source="Hill 2008",
    score=score,
    change=change,
    reads=reads,
)
