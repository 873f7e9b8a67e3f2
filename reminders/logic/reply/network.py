"""All patterns of a vocabulary as one network of words, walked a token at a time.

Written out, the patterns are half a million phrases. Here each is a chain of states
with its choices side by side; a node is a set of states, made when a text first
reaches it, so that afterwards a step is one look-up, as in a tree of all phrases.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache

from reminders.logic.reply.patterns import Choices


@dataclass(frozen=True, slots=True)
class Kind:
    """What a phrase means: its concepts, also as one bit each.

    `names` are the concepts and their tables, `values` each table's first key.
    """

    concepts: tuple[str, ...]
    names: frozenset[str]
    values: Mapping[str, str]
    bits: int


@dataclass(slots=True, eq=False)
class _State:
    """A place in patterns: words that lead on, and meanings of what ends here.

    A meaning is (rank, order, concept, is it for facts): lower ranks hide higher.
    """

    edges: dict[str, list["_State"]] = field(default_factory=dict)
    ends: list[tuple[int, int, str, bool]] = field(default_factory=list)

    def lead(self, word: str) -> "_State":
        """A new state that this word leads to."""
        after = _State()
        self.edges.setdefault(word, []).append(after)
        return after


class Node:
    """Where a walk has come to: `fact` and `sign` are what the words so far mean."""

    __slots__ = ("fact", "sign", "steps")

    def __init__(self, states: Collection[_State]) -> None:
        self.steps: dict[str, Node | tuple[_State, ...]] = _merged(states)
        ends = sorted(end for state in states for end in state.ends)
        self.sign = _kind(ends)
        self.fact = _kind([end for end in ends if end[3]])

    def step(self, word: str) -> "Node | None":
        """The node one more word leads to, None where no phrase goes on."""
        after = self.steps.get(word)
        if isinstance(after, tuple):
            after = self.steps[word] = Node(after)
        return after


class Network:
    """Gathers patterns; `root` is where every walk begins."""

    def __init__(self) -> None:
        self._start = _State()
        self._order = 0

    def add(
        self, places: Iterable[Choices], concept: str, *, rank: int = 0, fact: bool
    ) -> None:
        """Add a phrase with its choices; it can be walked from the next `root` on."""
        current = [self._start]
        for choices in places:
            joint = _State()
            for words in filter(None, choices):
                for state in current:
                    _lay(state, words, joint)
            current = [joint, *current] if () in choices else [joint]
        self._order += 1
        for state in current:
            if state is not self._start:
                state.ends.append((rank, self._order, concept, fact))

    def root(self) -> Node:
        """The beginning of every phrase added so far."""
        return Node([self._start])


def _lay(state: _State, words: tuple[str, ...], joint: _State) -> None:
    for word in words[:-1]:
        state = state.lead(word)
    state.edges.setdefault(words[-1], []).append(joint)


def _merged(states: Collection[_State]) -> dict[str, "Node | tuple[_State, ...]"]:
    merged: dict[str, list[_State]] = {}
    for state in states:
        for word, after in state.edges.items():
            merged.setdefault(word, []).extend(after)
    return {word: tuple(dict.fromkeys(after)) for word, after in merged.items()}


def _kind(ends: list[tuple[int, int, str, bool]]) -> Kind | None:
    """The meanings of the lowest rank, in the order they were added."""
    if not ends:
        return None
    lowest = ends[0][0]
    concepts = dict.fromkeys(concept for rank, _, concept, _ in ends if rank == lowest)
    return kind_of(tuple(concepts))


@cache
def kind_of(concepts: tuple[str, ...]) -> Kind:
    """The meaning made of these concepts; the same one for the same concepts."""
    pairs = [each.partition(".") for each in reversed(concepts)]
    return Kind(
        concepts=concepts,
        names=frozenset((*concepts, *(table for table, _, _ in pairs))),
        values={table: key for table, _, key in pairs},
        bits=bits_of((*concepts, *(table for table, _, _ in pairs))),
    )


def bits_of(names: Iterable[str]) -> int:
    """A set of names, of concepts or of their tables, as one number."""
    bits = 0
    for each in names:
        bits |= 1 << _PLACES.setdefault(each, len(_PLACES))
    return bits


_PLACES: dict[str, int] = {}
