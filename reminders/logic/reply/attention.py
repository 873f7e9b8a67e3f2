"""When a person must look, and the one closed question to ask back."""

from collections.abc import Sequence
from dataclasses import dataclass

from reminders.logic.reply.clauses import Clause
from reminders.logic.reply.danger import Danger
from reminders.logic.reply.marks import Mark
from reminders.logic.reply.network import bits_of
from reminders.logic.reply.pain import Pain
from reminders.logic.reply.places import Places
from reminders.logic.reply.reading import Reading
from reminders.logic.reply.talk import asks_something, is_understood

CALLS_FOR_A_PERSON = bits_of(("request", "trouble", "posture", "question", "admin"))
_MEDICINE = bits_of(("medicine.name",))
_HOW = bits_of(("symptom.sore", "severity", "filler", "polite", "emoji"))
_FEW = 2
_HOMELY = bits_of(("matter", "harmless", "chatter"))


@dataclass(frozen=True, slots=True)
class Seen:
    """What the fact readers found, for deciding what is left over."""

    danger: Danger
    pain: Pain
    places: Places
    any_fact: bool
    shift: str | None
    wrong_number: bool
    doubtful_opt_out: bool


def ask_back(reading: Reading, seen: Seen) -> str | None:
    """who, safety, opt_out, pain or reach; never the question just answered."""
    wanted = next(iter(_questions(reading, seen)), None)
    return None if wanted == reading.asked else wanted


def _questions(reading: Reading, seen: Seen) -> list[str]:
    out = []
    if seen.danger.someone_else:
        out.append("who")
    if not seen.danger.warnings and _safety_in_doubt(seen):
        out.append("safety")
    if seen.doubtful_opt_out:
        out.append("opt_out")
    if seen.danger.warnings:
        return out
    if seen.pain.unclear and seen.pain.current is None:
        out.append("pain")
    unplaced = not any(s != "gone" for s, _ in seen.places.areas.values())
    if seen.shift == "down_leg" and unplaced:
        out.append("reach")
    return out


def _safety_in_doubt(seen: Seen) -> bool:
    """Numbness now said of one limb, or a sign too vague to alarm on."""
    numb = any(
        feeling == "numb"
        and seen.places.areas.get(area, ("",))[0] not in ("same", "better")
        and area not in seen.places.continuing
        for area, (feeling, _) in seen.places.sensation.items()
    )
    loose = any(
        m.value("symptom") in ("numb", "numbness") for m in seen.places.loose_feelings
    )
    settled = any(value in ("better", "same") for value, *_ in seen.places.overall)
    return numb or (loose and not settled) or seen.danger.ask


def needs_human(
    readings: Sequence[Reading], seen: Seen, asked_back: str | None
) -> bool:
    """A question, a request, a warning, or clinical words no field carries."""
    reading = readings[0]
    if seen.danger.warnings or seen.danger.someone_else or seen.danger.doubtful:
        return True
    if (
        seen.wrong_number
        or seen.pain.unclear
        or asked_back in ("safety", "opt_out", "pain")
    ):
        return True
    settled = seen.danger.denied or _settled(readings)
    if reading.asked == "safety" and not settled:
        return True
    if reading.asked == "who" or asks_something(reading):
        return True
    if any(_calls(reading, mark, seen.danger.calm) for mark in reading.marks):
        return True
    if any(_is_medicine_trouble(reading, clause) for clause in reading.clauses):
        return True
    if seen.places.loose_feelings or _hurts_elsewhere(reading, seen):
        return True
    return not (seen.any_fact or is_understood(reading, seen.pain, seen.places))


def _hurts_elsewhere(reading: Reading, seen: Seen) -> bool:
    """Pain with no rating, place or change to carry it, or in the shoulder."""
    told = seen.pain.current or seen.places.areas or seen.places.overall
    carried = bool(told or seen.places.earlier) or reading.asked == "pain"
    carried = carried or _is_only_how_bad(reading)
    for start, end in (each for c in reading.clauses for each in c.segments):
        marks = reading.between(start, end)
        pains = [m for m in marks if m.is_a("symptom") and reading.stated(m)]
        hurting = bool(pains) and not pains[0].is_a("symptom.none")
        if hurting and _is_of_a_thing(marks, pains):
            continue
        if hurting and (not carried or any(m.is_a("body") for m in marks)):
            return True
    return False


def _is_only_how_bad(reading: Reading) -> bool:
    """ "awful" to the ordinary reminder."""
    few = len(reading.tokens) <= _FEW and reading.asked in (None, "session")
    return few and all(m.is_any(_HOW) for m in reading.marks)


def _is_of_a_thing(marks: Sequence[Mark], pains: Sequence[Mark]) -> bool:
    """ "the weather is awful", "traffic was murder"."""
    thing = any(m.is_a("matter") or m.is_a("chatter.weather") for m in marks)
    return thing and all(m.is_a("symptom.sore") for m in pains)


def _settled(readings: Sequence[Reading]) -> bool:
    """The safety question got its no; a yes has raised warnings already."""
    marks = [mark for reading in readings for mark in reading.marks]
    if any(mark.is_a("answer.unsure") for mark in marks):
        return False
    told = ("answer.no", "answer.fine", "neg")
    return any(mark.is_a(name) for mark in marks for name in told)


def _calls(reading: Reading, mark: Mark, calm: frozenset[int]) -> bool:
    """A trouble that is denied ("no fever"), well or long past calls for nobody."""
    if not mark.is_any(CALLS_FOR_A_PERSON) or mark.is_a("trouble.idiom"):
        return False
    if not (mark.is_a("trouble") or mark.is_a("posture")):
        return True
    scopes, at = reading.scopes, mark.start
    if scopes.negator[at] >= 0 or scopes.past[at] or at in calm:
        return False
    return not mark.is_a("trouble.loose") or not _is_homely(reading, mark)


def _is_homely(reading: Reading, mark: Mark) -> bool:
    """ "stuck in traffic", "the tap leaks", "the baby cries": another meaning."""
    if not reading.real(mark):
        return True
    clause = next(c for c in reading.clauses if c.start <= mark.start < c.end)
    inside = reading.nested.between(clause.start, clause.end)
    return any(m.is_any(_HOMELY) or m.is_a("state.gone") for m in inside)


def _is_medicine_trouble(reading: Reading, clause: Clause) -> bool:
    """ "took two pills" is none; one missed, stopped or spoken of is."""
    if not reading.bits & _MEDICINE:
        return False
    inside = reading.nested.between(clause.start, clause.end)
    if not any(m.is_a("medicine.name") for m in inside):
        return False
    taken = any(m.is_a("medicine.taken") for m in inside)
    return not taken or any(m.is_a("medicine.missed") for m in inside)
