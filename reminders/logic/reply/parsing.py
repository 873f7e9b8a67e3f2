"""The one public function: a client's text into a Reply, stage after stage."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from reminders.logic.reply import attention
from reminders.logic.reply.because import why
from reminders.logic.reply.clauses import Range
from reminders.logic.reply.completion import read_completion, speaks_of_sessions
from reminders.logic.reply.counts import read_counts
from reminders.logic.reply.danger import Danger, read_danger
from reminders.logic.reply.keywords import (
    complains_of_texts,
    doubts_opt_out,
    read_request,
)
from reminders.logic.reply.network import bits_of
from reminders.logic.reply.numbers import read_numbers
from reminders.logic.reply.opinion import sounds_alarming
from reminders.logic.reply.pain import Pain, read_pain
from reminders.logic.reply.places import Places, overall_of, read_places
from reminders.logic.reply.reading import Reading, readings
from reminders.logic.reply.result import WARNINGS, Reply, Span
from reminders.logic.reply.shift import read_shift
from reminders.logic.reply.sides import read_side
from reminders.logic.reply.tokens import tokenize
from reminders.logic.reply.wrong_number import says_wrong_number

_TROUBLES = bits_of(("symptom", "trouble"))


def parse_reply(text: str, *, language: str = "en", asked: str | None = None) -> Reply:
    """Read any string; never raises, time linear in its length.

    `language` is the first guess. `asked` is the question the text answers: None
    (the ordinary reminder), session, pain, reach, done, safety, who, opt_out,
    nothing. A yes is keyword `start` only when `asked` is opt_out, that is, when
    the last text told this number that its texts have ended; to the safety
    question YES or NEW stands for all three signs that question names.
    """
    every = readings(tokenize(text), language, asked)
    request = read_request(every)
    if request.keyword:
        evidence = {"keyword": request.span} if request.span else {}
        return Reply(keyword=request.keyword, evidence=evidence)
    facts, evidence = _facts(every)
    if request.inside and request.span:
        facts["stop_inside"] = facts["needs_human"] = True
        evidence["stop_inside"] = request.span
    elif complains_of_texts(every):
        facts["needs_human"] = True
    return Reply(**facts, evidence=evidence | why(every, facts, evidence))


def _facts(every: tuple[Reading, ...]) -> tuple[dict[str, Any], dict[str, Span]]:
    reading = every[0]
    numbers = read_numbers(reading)
    pain = read_pain(reading, numbers)
    places = read_places(reading, pain.ratings)
    gathered = _Gathered(reading)
    if pain.current:
        gathered.put("pain", pain.current.value, pain.current.start, pain.current.end)
    done = read_completion(reading, numbers)
    if done:
        gathered.put("completion", done.value, done.start, done.end)
    for name, (value, number) in read_counts(reading, numbers).items():
        gathered.put(name, value, number.start, number.end)
    for name, found in (
        ("overall", overall_of(places)),
        ("side", read_side(reading)),
        ("shift", read_shift(reading, places)),
    ):
        if found:
            gathered.put(name, found[0], *found[1])
    gathered.put_each("areas", places.areas)
    gathered.put_each("sensation", places.sensation)
    gathered.put_each("pain_by_area", places.ratings)
    danger = _second_opinion(every, read_danger(every), places)
    _judge(every, gathered, danger, pain=pain, places=places)
    return gathered.facts, gathered.evidence


def _second_opinion(
    every: tuple[Reading, ...], danger: Danger, places: Places
) -> Danger:
    """Where the rules saw no sign and no feeling, a learned ear may still ask back."""
    felt = places.sensation or places.loose_feelings
    signs = (found.sign.kind for reading in every for found in reading.signs)
    if felt or every[0].asked == "safety" or any(kind in WARNINGS for kind in signs):
        return danger
    return replace(danger, ask=True) if sounds_alarming(every[0]) else danger


def _judge(
    every: tuple[Reading, ...],
    gathered: "_Gathered",
    danger: Danger,
    *,
    pain: Pain,
    places: Places,
) -> None:
    """Warnings, and whether a person or one more question is needed."""
    seen = attention.Seen(
        danger=danger,
        pain=pain,
        places=places,
        any_fact=bool(gathered.facts)
        or danger.denied
        or _denies(every[0])
        or speaks_of_sessions(every[0]),
        shift=gathered.facts.get("shift"),
        wrong_number=says_wrong_number(every),
        doubtful_opt_out=doubts_opt_out(every),
    )
    question = attention.ask_back(every[0], seen)
    gathered.facts["ask_back"] = question
    gathered.facts["needs_human"] = attention.needs_human(every, seen, question)
    if danger.warnings and not danger.someone_else:
        gathered.facts["warnings"] = frozenset(danger.warnings)
        gathered.add_spans("warnings", danger.warnings)


def _denies(reading: Reading) -> bool:
    """ "no numbness, no tingling" sets no field and is still an answer."""
    return any(
        mark.is_any(_TROUBLES) and reading.scopes.negator[mark.start] >= 0
        for mark in reading.marks
    )


class _Gathered:
    """Fields and their evidence while they are being read."""

    def __init__(self, reading: Reading) -> None:
        self.reading = reading
        self.facts: dict[str, Any] = {}
        self.evidence: dict[str, Span] = {}

    def put(self, field: str, value: object, start: int, end: int) -> None:
        self.facts[field] = value
        self.evidence[field] = self.reading.span(start, end)

    def put_each(self, field: str, found: Mapping[str, tuple[Any, Range]]) -> None:
        if found:
            self.facts[field] = {key: value for key, (value, _) in found.items()}
            spans = {
                key: self.reading.span(*where) for key, (_, where) in found.items()
            }
            self.add_spans(field, spans)

    def add_spans(self, field: str, spans: Mapping[str, Span]) -> None:
        self.evidence[field] = min(spans.values())
        self.evidence |= {f"{field}.{key}": span for key, span in spans.items()}
