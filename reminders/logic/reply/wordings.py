"""Ways to word a whole message as a request, by the concepts it is made of."""

from collections.abc import Sequence
from dataclasses import dataclass

from reminders.logic.reply.network import bits_of
from reminders.logic.reply.reading import Reading

WORDS_OF_REQUESTS = (
    "answer.yes",
    "stopping.lead",
    "stopping.tail",
    "stopping.thing",
    "stopping.texts",
    "stopping.texting",
    "stopping.sure",
)


@dataclass(frozen=True, slots=True)
class Wording:
    """A whole message made of `allowed` and, of each group in `needs`, one: bits."""

    keyword: str
    needs: tuple[int, ...]
    allowed: int

    def says(self, reading: Reading, said: Sequence[int]) -> bool:
        """Whether the message is worded so."""
        if not all(reading.bits & group for group in self.needs):
            return False
        return covers(reading, self.allowed, said)


def _wording(
    keyword: str,
    needs: tuple[tuple[str, ...], ...],
    around: tuple[str, ...] = WORDS_OF_REQUESTS,
) -> Wording:
    named = (each for group in needs for each in group)
    groups = tuple(bits_of(group) for group in needs)
    return Wording(keyword, groups, bits_of((*named, *around)))


TEXTS = ("stopping.texts", "stopping.texting")
_MORE = ("stopping.again", "stopping.onto", "stopping.receive", *WORDS_OF_REQUESTS)
_ASKING = ("stopping.may", *WORDS_OF_REQUESTS)
WORDINGS = (
    _wording("stop", (("stopping.cut", "keyword.stop"),)),
    _wording("stop", (("stopping.cut", "keyword.stop"), TEXTS), _ASKING),
    _wording("stop", (("stopping.sure",), ("stopping.cut",)), _ASKING),
    _wording("stop", (("stopping.unwanted",), (*TEXTS, "stopping.those"))),
    _wording("start", (("keyword.start",),), _MORE),
    _wording(
        "start",
        (
            ("stopping.begin", "keyword.start"),
            ("stopping.again", "stopping.onto"),
            ("stopping.thing", *TEXTS),
        ),
        _MORE,
    ),
    _wording(
        "start",
        (("stopping.begin", "stopping.receive"), ("stopping.again",), TEXTS),
        ("stopping.may", *_MORE),
    ),
    _wording("help", (("stopping.assist", "keyword.help"),), ("stopping.aid",)),
)
_NOT_WANTED = bits_of(("stopping.unwanted",))
_AROUND_UNWANTED = bits_of((*WORDS_OF_REQUESTS, "stopping.unwanted", "polite"))
_AT_AN_HOUR = bits_of(("stopping.hour", "stopping.rude"))
_SAID = ("word", "number")


def covers(reading: Reading, bits: int, said: Sequence[int]) -> bool:
    """Whether marks with any of these bits stand on all that is said."""
    if not (reading.bits & bits and said):
        return False
    marks = (mark for mark in reading.nested if mark.is_any(bits))
    covered = {at for mark in marks for at in range(mark.start, mark.end)}
    return bool(covered) and covered.issuperset(said)
