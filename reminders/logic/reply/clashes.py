"""Entries of a vocabulary that contradict each other, found before a client does."""

from collections.abc import Iterator, Mapping

from reminders.logic.reply.patterns import Phrase

# Of each table one phrase can mean one thing only.
_EXCLUSIVE = ("area", "side", "change", "answer", "keyword", "symptom", "done")
_MAY_SHARE = (
    {"done.done", "done.did"},
    {"keyword.stop", "keyword.strong_stop"},
    {"answer.no", "answer.subject"},
)
_NEVER_TOGETHER = (
    ("state.gone", "change.worse"),
    ("state.gone", "symptom.numb"),
    ("state.new", "change.same"),
    ("move.up", "move.down"),
    ("neg.pre", "neg.pseudo"),
    ("who.self", "who.other"),
)


def clashes(phrases: Mapping[Phrase, tuple[str, ...]]) -> list[str]:
    """One line a clash: the phrase and the meanings that exclude each other."""
    return sorted(
        f"{' '.join(phrase)!r} is {pair}"
        for phrase, concepts in phrases.items()
        for pair in _clashing(concepts)
    )


def _clashing(concepts: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    for table in _EXCLUSIVE:
        of_table = {each for each in concepts if each.startswith(table + ".")}
        if len(of_table) > 1 and of_table not in _MAY_SHARE:
            yield tuple(sorted(of_table))
    for pair in _NEVER_TOGETHER:
        if set(pair) <= set(concepts):
            yield pair
