"""Yes, no and some as answers to whether the session was done."""

from reminders.logic.reply.acts import ASKED_WHETHER_DONE, CLINICAL, Completion
from reminders.logic.reply.marks import Mark
from reminders.logic.reply.network import bits_of
from reminders.logic.reply.reading import Reading

ANSWERED_BY_YES_OR_NO = ASKED_WHETHER_DONE
_REASON = 6
_MATTERS = bits_of(("matter",))


def read_answer(reading: Reading) -> Completion | None:
    if reading.asked not in ANSWERED_BY_YES_OR_NO:
        return None
    for mark in reading.marks[:3]:
        if mark.is_a("answer.yes") and _leads(reading, mark):
            after = reading.nested.between(mark.end, mark.end + 2)
            some = any(m.is_a("act.some") for m in after)
            rated = any(t.kind == "number" for t in reading.tokens[mark.end :])
            value = "partly" if some and not rated else "done"
            return Completion(value, mark.start, mark.end)
        if mark.is_a("change"):
            continue
        if mark.is_a("answer.no") and _leads(reading, mark) and _alone(reading, mark):
            return Completion("skipped", mark.start, mark.end)
    return _refusal(reading) or _some(reading)


def _refusal(reading: Reading) -> Completion | None:
    """ "I didnt", "did not, sorry": a denied verb that is its whole sentence."""
    for mark in reading.nested.between(0, 4):
        after = reading.tokens[mark.end : mark.end + 1]
        ends = not after or after[0].kind == "sign"
        alone = ends or any(
            m.is_a("polite") for m in reading.between(mark.end, mark.end + 1)
        )
        if mark.is_a("act.refusal") and alone:
            return Completion("skipped", mark.start, mark.end)
    return None


def _some(reading: Reading) -> Completion | None:
    """ "mostly", "some" when asked whether it was done, "half" always."""
    concept = "act.some" if reading.asked else "act.partial"
    if not any(m.is_a(concept) for m in reading.nested.between(0, 3)):
        return None
    said = [m for m in reading.marks if m.is_any(CLINICAL)]
    return None if said else Completion("partly", 0, len(reading.tokens))


def _leads(reading: Reading, mark: Mark) -> bool:
    """Only courtesies stand before it."""
    before = reading.between(0, mark.start)
    covered = sum(each.end - each.start for each in before)
    hems = {m.start for m in reading.nested.between(0, mark.start) if m.is_a("act.hem")}
    polite = all(
        each.is_a("polite") or each.is_a("emoji") or each.start in hems
        for each in before
    )
    signs = sum(token.kind != "word" for token in reading.tokens[: mark.start])
    return polite and covered + signs >= mark.start


def _alone(reading: Reading, mark: Mark) -> bool:
    """A no followed by a stop or a reason: "no pain" and "no it got worse" are not."""
    after = reading.tokens[mark.end : mark.end + 1]
    if not after or after[0].kind in ("sign", "number"):
        return True
    following = reading.between(mark.end, mark.end + 1)
    if any(m.is_a("polite") or m.is_a("answer.no") for m in following):
        return True
    rest = reading.between(mark.end, mark.end + _REASON)
    near = reading.nested.between(mark.end, mark.end + 1)
    reason = any(m.is_a("act.reason") for m in near)
    plain = reading.tokens[mark.start].text != "no"
    frank = plain or reading.asked is not None
    bits = CLINICAL if plain else CLINICAL | _MATTERS
    return (reason or frank) and not any(m.is_any(bits) for m in rest)
