"""Warning signs, read in every language there is, and what is near to one."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from reminders.logic.reply.lexicon import lexicon
from reminders.logic.reply.network import bits_of
from reminders.logic.reply.reading import Reading
from reminders.logic.reply.result import WARNINGS, Span
from reminders.logic.reply.signs import Found

_KINDS = frozenset(WARNINGS)
_THINGS = bits_of(("elsewhere.word", "elsewhere.animal", "harmless"))
_AFTER_A_THING = 4
# The safety question names these three; "NEW" affirms one without saying which.
ASKED_IN_SAFETY = ("bladder_bowel", "leg_weakness", "saddle_numbness")
_NAMES = {
    "bladder_bowel": bits_of(("urine", "stool")),
    "leg_weakness": bits_of(("area", "symptom.weak", "symptom.weakness")),
    "saddle_numbness": bits_of(("saddle",)),
}


@dataclass(frozen=True, slots=True)
class Danger:
    """Asserted kinds with their characters, and doubts that need a person.

    `calm` are the tokens of the main reading said to be well, or long past.
    """

    warnings: dict[str, Span]
    ask: bool
    someone_else: bool
    doubtful: bool
    denied: bool
    calm: frozenset[int] = frozenset()


def read_danger(readings: Sequence[Reading]) -> Danger:
    """Warnings asserted now about the client, in any language."""
    seen = [(r, f) for r in readings for f in r.signs if f.sign.kind in _KINDS]
    own = lexicon(readings[0].words.language).words
    judged = {t.start for t in readings[0].tokens if t.text in own}
    seen = [(r, f) for r, f in seen if r is readings[0] or _foreign(r, f, judged)]
    warnings: dict[str, Span] = {}
    for reading, found in seen:
        if found.asserted and found.sign.yields == "warn":
            warnings.setdefault(found.sign.kind, reading.span(found.start, found.end))
    well = [f for _, f in seen if f.sign.yields == "well"]
    open_signs = [f for _, f in seen if not f.denied and f.sign.yields != "well"]
    return Danger(
        warnings=warnings | _affirmed(readings, warnings),
        ask=any(f.asserted and f.sign.yields == "ask" for f in open_signs),
        someone_else=any(_of_another(f) for f in open_signs),
        denied=bool(well) or any(f.denied or f.past for _, f in seen),
        doubtful=any(f.imagined or f.asserted for f in open_signs),
        calm=_calm(readings[0], [f for r, f in seen if r is readings[0]]),
    )


def _calm(reading: Reading, found: Sequence[Found]) -> frozenset[int]:
    """Tokens of what works as it should; of what was long ago, its whole clause."""
    out: set[int] = set()
    for each in found:
        if each.sign.yields == "well" and not each.denied:
            out.update(range(each.start, each.end))
        elif each.past:
            out.update(range(each.clause.start, each.clause.end))
    return frozenset(out).union(_of_things(reading))


def _of_things(reading: Reading) -> Iterator[int]:
    """Tokens shortly after a roof, a dog or an idiom, up to the next "I" or "my"."""
    for clause in reading.clauses:
        for mark in reading.nested.between(clause.start, clause.end):
            if not mark.is_any(_THINGS):
                continue
            end = min(clause.end, mark.end + _AFTER_A_THING)
            own = (m for m in reading.between(mark.end, end) if m.is_a("who.self"))
            until = next((m.start for m in own), end)
            yield from range(mark.start, until)


def _foreign(reading: Reading, found: Found, judged: set[int]) -> bool:
    """Some word of the sign is none of the main language, which judged the rest.

    Told by where it is written: a language may spell the word of another as its own.
    """
    places = (at for mark in found.marks for at in range(mark.start, mark.end))
    return any(reading.tokens[at].start not in judged for at in places)


def _of_another(found: Found) -> bool:
    return found.other and not (found.past or found.imagined)


def _affirmed(readings: Sequence[Reading], already: dict[str, Span]) -> dict[str, Span]:
    """NEW or YES to the safety question: all three it asked about, or those it names.

    Which of the three a bare yes means is not known; a guess could lower the urgency.
    """
    if readings[0].asked != "safety" or already:
        return {}
    named = [kind for kind in ASKED_IN_SAFETY if readings[0].bits & _NAMES[kind]]
    for reading, mark in ((r, m) for r in readings for m in r.marks):
        affirms = mark.is_a("answer.yes") or mark.is_a("state.new")
        span = reading.span(mark.start, mark.end)
        if affirms and reading.stated(mark) and not _is_and(reading, span):
            return dict.fromkeys(named or ASKED_IN_SAFETY, span)
    return {}


def _is_and(reading: Reading, span: Span) -> bool:
    """A lone letter among words: "y" is Spanish for "and", not yes."""
    return span[1] - span[0] == 1 and len(reading.tokens) > 2
