"""The vocabulary of one language, loaded once from its folder of TOML files.

A table `[area]` with `foot = ["foot", "toe|toes"]` makes the concept `area.foot`;
how phrases are written is told in `patterns`. A folder more under `vocabulary/` is
a language more; no code knows how many there are.
"""

import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any

from reminders.logic.reply.network import Network, Node, bits_of
from reminders.logic.reply.patterns import Choices, Phrase, expand, parts, words_of

_TABLES_OF_OTHER_SHAPE = frozenset(
    {"numbers", "spellings", "common", "sign", "signs_only"}
)
_NOT_A_LANGUAGE = "signs"


@dataclass(frozen=True, slots=True)
class Sign:
    """Concepts that together mean one thing: `parts` in order, `gap` words apart.

    Parts are sets of concepts as bits. `yields` is warn, ask, human or, for what
    works as it should ("peeing fine"), well; `unless` are concepts that silence it
    when they stand in the same clause, `subject` those that do so just before it.
    `ever` ones count when long past too, `wide` ones may reach into the next clause.
    """

    kind: str
    parts: tuple[int, ...]
    gap: int
    free_order: bool
    yields: str
    unless: int
    subject: int = 0
    ever: bool = False
    wide: bool = False


@dataclass(frozen=True, slots=True)
class Pattern:
    """One phrase with its choices, what it means, and whether facts are read from it.

    Those of files marked `signs_only` are for signs alone: their long phrases would
    hide shorter facts inside them.
    """

    concept: str
    places: tuple[Choices, ...]
    fact: bool

    def words(self) -> Iterator[str]:
        """Every word that may stand in it."""
        for choices in self.places:
            for phrase in choices:
                yield from phrase


@dataclass(frozen=True, slots=True)
class Lexicon:
    """Patterns as a network, known words, numbers, spellings and signs."""

    language: str
    patterns: tuple[Pattern, ...]
    root: Node
    words: frozenset[str]
    numbers: Mapping[str, float]
    spellings: Mapping[str, Phrase]
    signs: tuple[Sign, ...]
    blended: bool = False

    def meanings(self, *phrase: str) -> tuple[str, ...]:
        """Concepts of a whole phrase, () for none."""
        node = self._walked(phrase)
        return node.sign.concepts if node and node.sign else ()

    def facts(self, *phrase: str) -> tuple[str, ...]:
        """Those of its concepts that facts are read from."""
        node = self._walked(phrase)
        return node.fact.concepts if node and node.fact else ()

    def _walked(self, phrase: Phrase) -> Node | None:
        node: Node | None = self.root
        for word in phrase:
            node = node.step(word) if node else None
        return node


@cache
def languages() -> tuple[str, ...]:
    """Codes of the languages there are folders for, sorted."""
    folders = [each for each in _root().iterdir() if each.is_dir()]
    return tuple(sorted(e.name for e in folders if e.name != _NOT_A_LANGUAGE))


@cache
def lexicon(language: str) -> Lexicon:
    """The vocabulary of a language; KeyError naming those there are otherwise."""
    if language not in languages():
        raise KeyError(f"no vocabulary for {language!r}: have {languages()}")
    tables = list(_tables(_root() / language))
    patterns = tuple(each for table in tables for each in _patterns(table))
    numbers = _merged(tables, "numbers")
    spellings = {k: words_of(v) for k, v in _merged(tables, "spellings").items()}
    return Lexicon(
        language=language,
        patterns=patterns,
        root=_network(patterns).root(),
        words=frozenset(_known(tables, patterns, numbers)),
        numbers={word: float(value) for word, value in numbers.items()},
        spellings=spellings,
        signs=tuple(_signs(tables, {each.concept for each in patterns})),
    )


@cache
def blended(language: str) -> Lexicon:
    """A language, and from each other one what cannot be taken for a word of it.

    Clients mix languages; "dolor 5, leg better" is read with both. A phrase of two
    other languages means what the first of them says.
    """
    own = lexicon(language)
    network = _network(own.patterns)
    patterns = list(own.patterns)
    numbers, words = dict(own.numbers), set(own.words)
    others = [each for each in languages() if each != language]
    for rank, other in enumerate(map(lexicon, others), start=1):
        foreign = [p for p in map(_foreign(own), other.patterns) if p]
        _add(network, foreign, rank)
        patterns += foreign
        words.update(word for each in foreign for word in each.words())
        for word, value in other.numbers.items():
            if word not in own.words:
                numbers.setdefault(word, value)
                words.add(word)
    return Lexicon(
        language=language,
        patterns=tuple(patterns),
        root=network.root(),
        words=frozenset(words),
        numbers=numbers,
        spellings=own.spellings,
        signs=own.signs,
        blended=True,
    )


def all_phrases(language: str) -> dict[Phrase, tuple[str, ...]]:
    """Every phrase facts are read from, written out, for checking a vocabulary."""
    found: dict[Phrase, list[str]] = {}
    for table in _tables(_root() / language):
        if table.get("signs_only"):
            continue
        for concept, written in _entries(table):
            for phrase in expand(written):
                concepts = found.setdefault(phrase, [])
                if concept not in concepts:
                    concepts.append(concept)
    return {phrase: tuple(concepts) for phrase, concepts in found.items()}


def _patterns(table: Mapping[str, Any]) -> Iterator[Pattern]:
    fact = not table.get("signs_only")
    for concept, written in _entries(table):
        for places in parts(written):
            yield Pattern(concept, places, fact)


def _network(patterns: Iterable[Pattern]) -> Network:
    network = Network()
    _add(network, patterns, 0)
    return network


def _add(network: Network, patterns: Iterable[Pattern], rank: int) -> None:
    for each in patterns:
        network.add(each.places, each.concept, rank=rank, fact=each.fact)


def _foreign(own: Lexicon) -> Callable[[Pattern], Pattern | None]:
    """Leaves of a pattern the choices without a word of the language, if any are."""

    def pruned(pattern: Pattern) -> Pattern | None:
        places = tuple(
            tuple(phrase for phrase in choices if own.words.isdisjoint(phrase))
            for choices in pattern.places
        )
        if not all(places) or not any(map(any, places)):
            return None
        return Pattern(pattern.concept, places, pattern.fact)

    return pruned


def _entries(table: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    for name, content in table.items():
        if name in _TABLES_OF_OTHER_SHAPE:
            continue
        for key, patterns in content.items():
            for pattern in patterns:
                yield f"{name}.{key}", pattern


def _root() -> Traversable:
    return files("reminders.logic.reply") / "vocabulary"


def _tables(folder: Traversable) -> Iterator[dict[str, Any]]:
    for each in sorted(folder.iterdir(), key=lambda path: path.name):
        if each.name.endswith(".toml"):
            yield tomllib.loads(each.read_text(encoding="utf-8"))


def _merged(tables: Iterable[dict[str, Any]], name: str) -> dict[str, Any]:
    merged: dict[str, Any] = {}
    for each in tables:
        for key, value in each.get(name, {}).items():
            merged[" ".join(words_of(key)).replace(" ", "")] = value
    return merged


def _known(
    tables: Iterable[dict[str, Any]],
    patterns: Iterable[Pattern],
    numbers: Iterable[str],
) -> Iterator[str]:
    for pattern in patterns:
        yield from pattern.words()
    for each in tables:
        for line in each.get("common", {}).get("words", ()):
            yield from words_of(line)
    yield from numbers


def _signs(tables: Iterable[dict[str, Any]], concepts: set[str]) -> Iterator[Sign]:
    for each in tables:
        for entry in each.get("sign", ()):
            yield Sign(
                kind=entry["kind"],
                parts=tuple(bits_of(_named(p, concepts)) for p in entry["parts"]),
                gap=entry.get("gap", 3),
                free_order=entry.get("order", "free") == "free",
                yields=entry.get("yields", "warn"),
                unless=bits_of(_named(" ".join(entry.get("unless", ())), concepts)),
                subject=bits_of(_named(" ".join(entry.get("subject", ())), concepts)),
                ever=entry.get("ever", False),
                wide=entry.get("wide", False),
            )


def _named(names: str, concepts: set[str]) -> frozenset[str]:
    """ "area.foot area.leg" or "area.*" as the set of concepts it names."""
    found: set[str] = set()
    for name in names.split():
        if name.endswith("*"):
            found |= {each for each in concepts if each.startswith(name[:-1])}
        elif name in concepts:
            found.add(name)
        else:
            raise ValueError(f"sign names the concept {name!r}, which has no phrase")
    return frozenset(found)
