"""The characters that made a text want a person, or one more question.

Facts know the words they were read from. That a person is needed often follows from
what stands beside them, so it is looked for here; where no words can be named, the
whole text is the reason.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from reminders.logic.reply.attention import CALLS_FOR_A_PERSON
from reminders.logic.reply.reading import Reading
from reminders.logic.reply.result import WARNINGS, Span

_IN_DOUBT = ("safety", "who")


def why(
    every: Sequence[Reading], facts: Mapping[str, Any], known: Mapping[str, Span]
) -> dict[str, Span]:
    """Evidence of `ask_back` and `needs_human` where they are set.

    `facts` are the fields read, `known` the evidence of the others.
    """
    found: dict[str, Span] = {}
    if not every[0].tokens:
        return found  # nothing is written that could be the reason
    question = facts.get("ask_back")
    if question:
        found["ask_back"] = _of_question(every, question, known)
    if facts.get("needs_human"):
        found["needs_human"] = _of_person(every, facts, {**known, **found})
    return found


def _of_question(
    every: Sequence[Reading], question: str, known: Mapping[str, Span]
) -> Span:
    if question == "reach" and "shift" in known:
        return known["shift"]
    if question == "opt_out":
        return _first(_signs(every, ("stop",)), every)
    signs = list(_signs(every, WARNINGS)) if question in _IN_DOUBT else []
    if not signs and question == "safety" and "sensation" in known:
        return known["sensation"]
    return _first(iter(signs), every)


def _of_person(
    every: Sequence[Reading], facts: Mapping[str, Any], known: Mapping[str, Span]
) -> Span:
    for field in ("warnings", "stop_inside", "ask_back"):
        if facts.get(field) and field in known:
            return known[field]
    reading = every[0]
    marks = (m for m in reading.marks if m.is_any(CALLS_FOR_A_PERSON))
    calling = (reading.span(mark.start, mark.end) for mark in marks)
    asking = (reading.span(c.start, c.end) for c in reading.clauses if c.asks)
    return _first(iter([*calling, *asking]), every)


def _signs(every: Sequence[Reading], kinds: Sequence[str]) -> Iterator[Span]:
    for reading in every:
        for found in reading.signs:
            if found.sign.kind in kinds and not found.denied:
                yield reading.span(found.start, found.end)


def _first(spans: Iterator[Span], every: Sequence[Reading]) -> Span:
    tokens = every[0].tokens
    return next(spans, (tokens[0].start, tokens[-1].end))
