"""Which numbers of a segment are pain ratings, and which are unclear ones."""

from collections.abc import Sequence

from reminders.logic.reply.clauses import Range
from reminders.logic.reply.marks import Mark
from reminders.logic.reply.numbers import Number
from reminders.logic.reply.reading import Reading

_RATED_BY_A_BARE_NUMBER = (None, "session", "pain")
_RATED_BESIDE_AN_ANSWER = ("safety", "done")
_NEAR, _CLOSE = 5, 4
_ALSO_ADVERBS = frozenset({"back", "behind", "bottom"})
_SPEAKS_OF_PAIN = frozenset(
    (
        "symptom",
        "rating",
        "area",
        "change",
        "number.about",
        "time.now",
        "time.before",
        "time.at",
        "side",
        "severity",
    )
)
_COMPANY = frozenset(
    (
        "filler",
        "time",
        "done",
        "answer",
        "number",
        "polite",
        "emoji",
        "change",
        "exercise",
        "rating",
        "scope",
        "side",
        "who.self",
        "area",
        "symptom",
        "severity",
        "unit",
        "move",
        "onset",
    )
)


class Surroundings:
    """What one segment says around its numbers, looked up once for all of them."""

    def __init__(
        self, reading: Reading, segment: Range, paired: frozenset[int] = frozenset()
    ) -> None:
        self.paired = paired
        start, end = segment
        self.reading = reading
        self.start, self.end = start, end
        self.marks: Sequence[Mark] = reading.between(start, end)
        self.names = frozenset().union(*(mark.names for mark in self.marks))
        covered = {at for mark in self.marks for at in range(mark.start, mark.end)}
        kinds = {at: reading.tokens[at].kind for at in range(start, end)}
        self.words = {at for at in kinds if kinds[at] in ("word", "number")}
        self.unread = {at for at in kinds if kinds[at] == "word" and at not in covered}
        self.telling = {m.start for m in self.marks if m.names.isdisjoint(_COMPANY)}

    @property
    def of_pain(self) -> bool:
        """A word of pain or of rating stands in the segment."""
        return not self.names.isdisjoint({"symptom", "rating"})

    def rates(self, number: Number) -> bool:
        """A word of pain or rating stands outside the number itself."""
        out = (m for m in self.marks if not number.start <= m.start < number.end)
        return any(m.is_a("symptom") or m.is_a("rating") for m in out)

    def praises(self, number: Number) -> bool:
        """ "10/10 would recommend", "feeling 10/10" is praise, not pain."""
        nested = self.reading.nested.between(self.start, self.end)
        praise = any(mark.is_a("praise") for mark in nested)
        return praise and not self.of_pain and number.value >= 8


def is_rating(around: Surroundings, number: Number) -> bool:
    """Whether a number rates pain, judged by its position."""
    at = number.start
    scopes = around.reading.scopes
    if scopes.other[at] or scopes.imagined[at] or _denied(around.reading, number):
        return False
    if number.role == "scale":
        return not around.praises(number)
    if around.reading.asked == "nothing" and not _of_itself(around, number):
        return False
    if number.role == "dictated":
        return not around.praises(number)
    if number.role != "plain":
        return False
    if number.start in around.paired:
        return True
    return _named(around, number) or _bare(around, number)


def _of_itself(around: Surroundings, number: Number) -> bool:
    """With nothing asked: "pain 4", "it hurts, about a 4", "calf 3", "3 in my calf"."""
    reading = around.reading
    low, high = max(around.start, number.start - _CLOSE), number.end + _CLOSE
    near = reading.nested.between(low, min(high, around.end))
    if any(m.is_a("unasked") for m in near):
        return True
    if number.end != around.end:
        return False
    areas = (m for m in near if m.is_a("area") and m.end == number.start)
    return any(reading.tokens[m.start].text not in _ALSO_ADVERBS for m in areas)


def is_unclear(around: Surroundings, number: Number) -> bool:
    """Something meant as a rating that must not be guessed: "less than 5", "3/5"."""
    counted = not around.names.isdisjoint({"done", "exercise"})
    alone = not around.marks and around.reading.asked in _RATED_BY_A_BARE_NUMBER
    if number.role == "scale":
        return around.praises(number)
    if number.role in ("fraction", "big"):
        spoken = number.role == "fraction" and not _slashed(around.reading, number)
        if spoken:
            return "symptom" in around.names
        return around.rates(number) or (alone and not counted)
    return number.role == "unclear" and (around.of_pain or not counted)


def _slashed(reading: Reading, number: Number) -> bool:
    """ "3/5" may be a rating; "3 out of 5" counts exercises."""
    return reading.tokens[number.start + 1].text in ("/", "\\")


def _denied(reading: Reading, number: Number) -> bool:
    """ "not a 3 more like 6"; but in "no pain 0" the 0 says the same."""
    cue = reading.scopes.negator[number.start]
    if cue < 0:
        return False
    between = reading.between(cue, number.start)
    if any(m.is_a("answer.no") and m.end == number.start for m in between):
        return False
    return not any(m.is_a("symptom") or m.is_a("done") for m in between)


def _named(around: Surroundings, number: Number) -> bool:
    """A word that speaks of pain stands close, and no verb of counting before."""
    low = max(around.start, number.start - _NEAR)
    near = around.reading.between(low, min(around.end, number.end + _NEAR))
    if number.faint:
        before = [m for m in near if m.end == number.start and around.reading.stated(m)]
        return any(m.is_a("symptom.pain") or m.is_a("rating") for m in before)
    if _counted(around.reading, number):
        return False
    leading = around.reading.nested.between(low, number.start)
    if any(m.is_a("act.reached") and m.end == number.start for m in leading):
        return True
    return any(not mark.names.isdisjoint(_SPEAKS_OF_PAIN) for mark in near)


def _counted(reading: Reading, number: Number) -> bool:
    """ "did 3", "all 5", "after 8", "at 7": how many or when, not how strong."""
    low = max(0, number.start - 4)
    before = reading.nested.between(low, number.start)
    last = [m for m in before if m.end == number.start]
    if any(m.is_a("done.did") or m.is_a("number.all") for m in last):
        return True
    if any(m.is_a("number.of") and not m.is_a("rating") for m in last):
        return any(m.is_a("unit.sets") or m.is_a("done") for m in before)
    timed = any(m.is_a("number.when") for m in last)
    return timed and not any(m.is_a("symptom") or m.is_a("rating") for m in before)


def _bare(around: Surroundings, number: Number) -> bool:
    """Alone, or among words that say nothing else, it answers the question asked."""
    reading = around.reading
    beside = reading.asked in _RATED_BESIDE_AN_ANSWER and _stands_beside(around, number)
    if reading.asked not in _RATED_BY_A_BARE_NUMBER and not beside:
        return False
    if _counted(reading, number):
        return False
    own = range(number.start, number.end)
    if number.faint:
        return len(around.words) == sum(at in around.words for at in own)
    rest = len(around.unread) - sum(at in around.unread for at in own)
    return rest == 0 and not around.telling - {number.start}


def _stands_beside(around: Surroundings, number: Number) -> bool:
    """ "no numbness, 4": alone in its part of a text that answers first."""
    alone = around.words <= set(range(number.start, number.end))
    return alone and around.start > 0
