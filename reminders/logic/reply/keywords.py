"""Whole-message requests (stop, start, help) and opt-outs inside a report.

Words: 47 CFR 64.1200(a)(10), the gateways' published defaults, and the Spanish
and French ones in use. Free wording counts too: the rule asks what a reasonable
person means.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from reminders.logic.reply.network import bits_of
from reminders.logic.reply.reading import Reading, readings
from reminders.logic.reply.result import WARNINGS, Span
from reminders.logic.reply.signs import Found
from reminders.logic.reply.tokens import Token, tokenize
from reminders.logic.reply.wordings import (
    TEXTS,
    WORDINGS,
    WORDS_OF_REQUESTS,
    covers,
)

_COURTESIES = bits_of(("polite", "emoji", "filler.it"))
# Of a text longer than a spelled-out word, what any request has one of.
_REQUESTING = bits_of(
    (
        "keyword",
        "stopping.cut",
        "stopping.unwanted",
        "stopping.begin",
        "stopping.assist",
        "stopping.sure",
        *TEXTS,
    )
)
_NOT_WANTED = bits_of(("stopping.unwanted",))
_STRONG_OR_NOT_WANTED = bits_of(("keyword.strong_stop",)) | _NOT_WANTED
_AROUND_UNWANTED = bits_of((*WORDS_OF_REQUESTS, "stopping.unwanted", "polite"))
_AT_AN_HOUR = bits_of(("stopping.hour", "stopping.rude"))
_SAID = ("word", "number")
_STRONG = bits_of(("keyword.strong_stop",))
_LETTERS = 12
_WORDS_BEFORE = 4
_LEADING = bits_of(("stopping.lead", "stopping.may", "polite"))
_LONGEST_MISTYPED, _LONGEST_REQUEST = 12, 16


@dataclass(frozen=True, slots=True)
class Request:
    """`keyword` for a whole message, `inside` for an opt-out within a report."""

    keyword: str | None = None
    inside: bool = False
    span: Span | None = None


def read_request(every: Sequence[Reading]) -> Request:
    """The request a text makes, in any language; an opt-out wins over the rest."""
    words = len(every[0].tokens)
    complete = (reading for reading in every if len(reading.tokens) >= words)
    whole = [found for found in map(_whole, complete) if found]
    if whole:
        return next((w for w in whole if w.keyword == "stop"), whole[0])
    for reading in every:
        found = _free_opt_out(reading)
        if found:
            return found
    return Request()


def is_bare_yes(text: str, *, language: str = "en") -> bool:
    """Nothing but a yes: the gateways' third opt-in word, after START and UNSTOP.

    It opens texts again only for a number that is opted out, which only the
    caller knows; to a number that is not, a yes is an answer.
    """
    every = readings(tokenize(text), language, None)
    return any(_only(reading, "answer.yes") for reading in every)


def doubts_opt_out(every: Sequence[Reading]) -> bool:
    """Something like an opt-out ("too many texts") that must be asked about."""
    signs = (f for reading in every for f in _stops(reading))
    return any(f.asserted and f.sign.yields == "ask" for f in signs)


def complains_of_texts(every: Sequence[Reading]) -> bool:
    """ "don't text so early": no opt-out, but for a person to settle."""
    signs = (f for reading in every for f in _stops(reading))
    return any(f.asserted and f.sign.yields == "human" for f in signs)


def _stops(reading: Reading) -> list[Found]:
    return [found for found in reading.signs if found.sign.kind == "stop"]


def _whole(reading: Reading) -> Request | None:
    if not (reading.bits & _REQUESTING or len(reading.tokens) <= _LETTERS):
        return None
    said = _spoken(reading)
    tokens = [reading.tokens[at] for at in said]
    if not tokens:
        return None
    span = (tokens[0].start, tokens[-1].end)
    word = _spelled_out([t for t in reading.tokens if t.kind == "word"])
    for keyword in ("stop", "start", "help"):
        wanted = bits_of((f"keyword.{keyword}",))
        if covers(reading, wanted, said) or _phrase_is(reading, word, keyword):
            return Request(keyword, span=span)
    if reading.asked == "opt_out" and _only(reading, "answer.yes"):
        return Request("start", span=span)
    free = _mistyped(reading, tokens) or _worded(reading, said)
    return Request(free, span=span) if free else None


def _worded(reading: Reading, said: Sequence[int]) -> str | None:
    """ "can you sign me back up": a request all of whose words are of requests."""
    if reading.bits & _AT_AN_HOUR or len(said) > _LONGEST_REQUEST:
        return None
    found = (each.keyword for each in WORDINGS if each.says(reading, said))
    keyword = next(found, None)
    return None if keyword and _alarms(reading) else keyword


def _alarms(reading: Reading) -> bool:
    """ "I want to end it" asks for no end of texts."""
    return any(
        f.sign.kind in WARNINGS and f.sign.yields == "warn" for f in reading.signs
    )


def _spoken(reading: Reading) -> list[int]:
    """Places of the words and numbers, courtesies and pictures left out."""
    skip = {
        at
        for mark in reading.nested
        if mark.is_any(_COURTESIES)
        for at in range(mark.start, mark.end)
    }
    tokens = enumerate(reading.tokens)
    return [at for at, token in tokens if token.kind in _SAID and at not in skip]


def _only(reading: Reading, concept: str) -> bool:
    """The concept, once or repeated, is all that is said."""
    return covers(reading, bits_of((concept,)), _spoken(reading))


def _spelled_out(tokens: Sequence[Token]) -> str:
    """ "S T O P" as one word, empty if it is not spelled out."""
    single = len(tokens) > 2 and all(len(token.text) == 1 for token in tokens)
    return "".join(token.text for token in tokens[:20]) if single else ""


def _phrase_is(reading: Reading, word: str, keyword: str) -> bool:
    return f"keyword.{keyword}" in reading.words.meanings(word)


def _mistyped(reading: Reading, tokens: Sequence[Token]) -> str | None:
    """One slip from stop, start or help, and no word known to any language."""
    word = tokens[0].text if len(tokens) == 1 else ""
    if word in reading.words.words or not 3 <= len(word) <= _LONGEST_MISTYPED:
        return None
    return next((each for each in _MISTYPED if word in _MISTYPED[each]), None)


def _slips(word: str) -> frozenset[str]:
    swapped = {
        word[:at] + word[at + 1] + word[at] + word[at + 2 :]
        for at in range(len(word) - 1)
    }
    missing = {word[:at] + word[at + 1 :] for at in range(1, len(word) - 1)}
    doubled = {word[:at] + word[at] + word[at:] for at in range(len(word))}
    return frozenset(swapped | missing | doubled)


# Neighbors on the keys; "hep" is short for the exercises, "stat" for at once.
_MISTYPED = {
    "stop": _slips("stop") | {"stpp", "sto0", "stoo", "syop", "dtop", "atop", "xtop"},
    "start": _slips("start") - {"stat"} | {"stsrt", "atart", "dtart", "starr", "staft"},
    "help": _slips("help") - {"hep"} | {"hekp", "heko", "hwlp", "jelp", "halp", "helo"},
}


def _free_opt_out(reading: Reading) -> Request | None:
    """ "please stop texting me" is a keyword if it is all, else an opt-out inside."""
    for found in _stops(reading):
        if found.sign.yields != "warn" or not _meant(reading, found):
            continue
        start = _led(reading, found.start)
        if found.clause.asks and start == found.start:
            continue
        rest = _says_more(reading, start, found.end)
        span = reading.span(start, found.end)
        return Request(None if rest else "stop", inside=rest, span=span)
    for clause in reading.clauses if reading.bits & _STRONG_OR_NOT_WANTED else ():
        for start, end in clause.segments:
            if clause.asks or not (
                _is_stop_segment(reading, start, end) or _unwanted(reading, start, end)
            ):
                continue
            more = _says_more(reading, start, end)
            span = reading.span(start, end)
            return Request(None if more else "stop", inside=more, span=span)
    return None


def _meant(reading: Reading, found: Found) -> bool:
    """As a fact, as a polite wish, or after an "and" that ends a denial before it."""
    if found.past or found.other:
        return False
    near = reading.nested.between(found.clause.start, found.start)
    if found.imagined and not any(m.is_a("stopping.wish") for m in near):
        return False
    cue = reading.scopes.negator[found.start]
    return not found.denied or any(
        m.is_a("scope.and") and m.start > cue >= 0 for m in near
    )


def _led(reading: Reading, at: int) -> int:
    """Where "can you please" or "how do I" before a request begins."""
    for _ in range(_WORDS_BEFORE):
        before = reading.nested.between(max(0, at - 4), at)
        leads = [m.start for m in before if m.end == at and m.is_any(_LEADING)]
        if not leads:
            break
        at = min(leads)
    return at


_CONTENT = bits_of(
    (
        "symptom",
        "area",
        "change",
        "done",
        "body",
        "move",
        "request",
        "question",
        "trouble",
        "admin",
    )
)


def _says_more(reading: Reading, start: int, end: int) -> bool:
    """Whether anything clinical or any number stands outside the request."""
    outside = [*reading.between(0, start), *reading.between(end, len(reading.tokens))]
    told = any(mark.is_any(_CONTENT) for mark in outside)
    inside = range(start, end)
    numbers = (at for at, token in enumerate(reading.tokens) if token.kind == "number")
    return told or any(at not in inside for at in numbers)


def _unwanted(reading: Reading, start: int, end: int) -> bool:
    """ "dont need these anymore", with nothing else in its part of the sentence."""
    if not reading.bits & _NOT_WANTED:
        return False
    marks = reading.nested.between(start, end)
    said = any(m.is_any(_NOT_WANTED) for m in marks)
    meant = any(m.is_a("stopping.those") for m in marks)
    words = (at for at in range(start, end) if reading.tokens[at].kind in _SAID)
    around = [m for m in marks if m.is_any(_AROUND_UNWANTED)]
    covered = {at for m in around for at in range(m.start, m.end)}
    return said and meant and covered.issuperset(words)


def _is_stop_segment(reading: Reading, start: int, end: int) -> bool:
    """A sentence or comma part that is nothing but a strong stop word."""
    if not reading.bits & _STRONG:
        return False
    marks = reading.between(start, end)
    strong = [m for m in marks if m.is_any(_STRONG)]
    covered = sum(m.end - m.start for m in strong)
    polite = sum(m.end - m.start for m in marks if m.is_a("polite"))
    words = sum(token.kind in ("word", "number") for token in reading.tokens[start:end])
    return covered > 0 and covered + polite == words
