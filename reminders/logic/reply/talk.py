"""What a text with no fact in it is: an answer understood, small talk, or unread."""

from collections.abc import Sequence

from reminders.logic.reply.clauses import Clause
from reminders.logic.reply.marks import Mark
from reminders.logic.reply.network import bits_of
from reminders.logic.reply.pain import Pain
from reminders.logic.reply.places import Places
from reminders.logic.reply.reading import Reading
from reminders.logic.reply.signs import answered_no

_NOTHING_TO_READ = bits_of(
    (
        "polite",
        "emoji",
        "filler",
        "answer",
        "greeting",
        "scope",
        "time",
        "neg",
        "praise",
        "state",
        "harmless",
        "chatter",
        "who.self",
        "onset",
        "continuing",
    )
)
_CLINICAL = bits_of(("symptom", "trouble", "body", "area", "posture", "move"))
_NAMES_A_TOPIC = bits_of(("symptom", "area", "exercise", "done", "rating", "trouble"))
_NOWHERE = bits_of(("neg", "state.gone", "answer.no"))
_HOW_BAD = bits_of(("severity", "symptom.sore", "trouble.idiom"))
_WIDELY_READ = 3
_ECHO, _GUESS = 3, 5


def is_understood(reading: Reading, pain: Pain, places: Places) -> bool:
    """Of the past or of later, an answer to what was asked, or only small talk."""
    if _is_pleasantry(reading) or pain.ratings or places.earlier:
        return True
    if any(m.is_a("done") for m in reading.marks):
        return True
    return _answers(reading) or _is_small_talk(reading)


def _answers(reading: Reading) -> bool:
    """A no to the question about signs or texts; how bad it is, without a number."""
    if reading.asked in ("safety", "opt_out"):
        return any(m.is_a("answer.no") for m in reading.marks[:3])
    if reading.asked == "nothing":
        return not any(token.kind == "word" for token in reading.tokens)
    if reading.asked == "reach":
        return any(m.is_any(_NOWHERE) for m in reading.marks)
    told = any(m.is_any(_HOW_BAD) for m in reading.marks)
    return reading.asked == "pain" and told and len(reading.tokens) <= _ECHO


def _is_pleasantry(reading: Reading) -> bool:
    """Nothing but courtesies, or nothing at all."""
    return _unread(reading) == 0 and not any(m.is_a("ailing") for m in reading.marks)


def _is_small_talk(reading: Reading) -> bool:
    """Words of work, home or weather, few unknown ones, and none of the body."""
    topics = {m.start for m in reading.nested if m.is_a("chatter")}
    things = any(m.is_a("matter") for m in reading.nested)
    told = [m for m in reading.marks if m.is_any(_CLINICAL)]
    if not topics or any(not (things and m.is_a("symptom.sore")) for m in told):
        return False
    return _unread(reading) <= _WIDELY_READ * len(topics)


def _unread(reading: Reading) -> int:
    read = {
        at
        for mark in reading.marks
        if mark.is_any(_NOTHING_TO_READ)
        for at in range(mark.start, mark.end)
    }
    tokens = enumerate(reading.tokens)
    return sum(at not in read for at, t in tokens if t.kind in ("word", "number"))


def asks_something(reading: Reading) -> bool:
    """A question mark that asks: not the echo of "Pain? 4" nor "maybe a two?"."""
    return any(
        clause.asks and not _is_echo(reading, clause) and not _guesses(reading, clause)
        for clause in reading.clauses
        if not answered_no(reading, clause)
    )


def _is_echo(reading: Reading, clause: Clause) -> bool:
    """What was asked, said again before its answer."""
    inside = reading.between(clause.start, clause.end)
    goes_on = any(other.start > clause.start for other in reading.clauses)
    return (
        goes_on
        and clause.end - clause.start <= _ECHO
        and _all_are(inside, _NAMES_A_TOPIC | _NOTHING_TO_READ)
        and any(m.is_any(_NAMES_A_TOPIC) for m in inside)
    )


def _guesses(reading: Reading, clause: Clause) -> bool:
    """A number or a place offered with doubt, when that was the question."""
    if reading.asked not in ("pain", "reach", "done", "session"):
        return False
    inside = reading.between(clause.start, clause.end)
    wanted = "area" if reading.asked == "reach" else "number"
    told = any(m.is_a(wanted) for m in inside) or any(
        t.kind == "number" for t in reading.tokens[clause.start : clause.end]
    )
    few = clause.end - clause.start <= _GUESS
    return told and few and not any(m.is_a("question") for m in inside)


def _all_are(marks: Sequence[Mark], bits: int) -> bool:
    return all(m.is_any(bits) for m in marks)
