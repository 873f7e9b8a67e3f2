"""The vocabulary of one language, loaded once from its folder of TOML files.

A table `[area]` with `foot = ["foot", "toe|toes"]` makes the concept `area.foot`.
In a phrase `a|b` is either word, `the?` may be left out, `a_few|most` binds words
inside a choice and `;` parts whole phrases. A folder more under `vocabulary/` is
a language more; no code knows how many there are.
"""

import itertools
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any

from reminders.logic.reply.tokens import tokenize

Phrase = tuple[str, ...]
# A tree of words: each word leads to a node, and these two keys, which no token
# can be, to what the phrase that ends there means to facts and to signs.
Tree = dict[str, Any]
FACT, SIGN = "fact ", "sign "
_TABLES_OF_OTHER_SHAPE = frozenset(
    {"numbers", "spellings", "common", "sign", "signs_only"}
)
_NOT_A_LANGUAGE = "signs"


@dataclass(frozen=True, slots=True)
class Kind:
    """What a phrase means: its concepts, also as one bit each.

    `names` are the concepts and their tables, `values` each table's first key.
    """

    concepts: tuple[str, ...]
    names: frozenset[str]
    values: Mapping[str, str]
    bits: int


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
class Lexicon:
    """Phrases with their concepts, known words, numbers, spellings and signs.

    `phrases` are those facts are read from; `every_phrase` has also those of files
    marked `signs_only`, whose long phrases would hide shorter facts inside them.
    """

    language: str
    phrases: Mapping[Phrase, tuple[str, ...]]
    every_phrase: Mapping[Phrase, tuple[str, ...]]
    tree: Tree
    words: frozenset[str]
    numbers: Mapping[str, float]
    spellings: Mapping[str, Phrase]
    signs: tuple[Sign, ...]
    blended: bool = False


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
    phrases, every = _phrases(tables)
    numbers = _merged(tables, "numbers")
    spellings = {k: _words(v) for k, v in _merged(tables, "spellings").items()}
    return Lexicon(
        language=language,
        phrases=phrases,
        every_phrase=every,
        tree=_tree(phrases, every),
        words=frozenset(_known(tables, every, numbers)),
        numbers={word: float(value) for word, value in numbers.items()},
        spellings=spellings,
        signs=tuple(_signs(tables, {c for cs in every.values() for c in cs})),
    )


def expand(pattern: str) -> Iterator[Phrase]:
    """Every phrase a pattern stands for, folded."""
    for part in pattern.split(";"):
        choices = [_choices(piece) for piece in part.split()]
        for chosen in itertools.product(*choices):
            phrase = tuple(itertools.chain.from_iterable(chosen))
            if phrase:
                yield phrase


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
        bits |= 1 << _place_of(each)
    return bits


_PLACES: dict[str, int] = {}


def _place_of(name: str) -> int:
    return _PLACES.setdefault(name, len(_PLACES))


def _root() -> Traversable:
    return files("reminders.logic.reply") / "vocabulary"


@cache
def _choices(piece: str) -> tuple[Phrase, ...]:
    optional = piece.endswith("?")
    choices = piece.rstrip("?").split("|")
    words = [_words(each.replace("_", " ")) for each in choices]
    return (*words, ()) if optional else tuple(words)


@cache
def _words(text: str) -> Phrase:
    return tuple(token.text for token in tokenize(text))


def _tables(folder: Traversable) -> Iterator[dict[str, Any]]:
    for each in sorted(folder.iterdir(), key=lambda path: path.name):
        if each.name.endswith(".toml"):
            yield tomllib.loads(each.read_text(encoding="utf-8"))


def _phrases(
    tables: Iterable[dict[str, Any]],
) -> tuple[dict[Phrase, tuple[str, ...]], dict[Phrase, tuple[str, ...]]]:
    """Phrases of the files facts are read from, and those of all files."""
    facts: dict[Phrase, list[str]] = {}
    every: dict[Phrase, list[str]] = {}
    for each in tables:
        goals = [every] if each.get("signs_only") else [every, facts]
        for concept, pattern in _entries(each):
            for phrase in expand(pattern):
                for found in goals:
                    concepts = found.setdefault(phrase, [])
                    if concept not in concepts:
                        concepts.append(concept)
    return _settled(facts), _settled(every)


def _settled(found: Mapping[Phrase, list[str]]) -> dict[Phrase, tuple[str, ...]]:
    return {phrase: tuple(concepts) for phrase, concepts in found.items()}


def _tree(
    phrases: Mapping[Phrase, tuple[str, ...]], every: Mapping[Phrase, tuple[str, ...]]
) -> Tree:
    root: Tree = {}
    for phrase, concepts in every.items():
        node = root
        for word in phrase:
            node = node.setdefault(word, {})
        node[SIGN] = kind_of(concepts)
        if phrase in phrases:
            node[FACT] = kind_of(phrases[phrase])
    return root


def _entries(table_file: dict[str, Any]) -> Iterator[tuple[str, str]]:
    for table, content in table_file.items():
        if table in _TABLES_OF_OTHER_SHAPE:
            continue
        for key, patterns in content.items():
            for pattern in patterns:
                yield f"{table}.{key}", pattern


def _merged(tables: Iterable[dict[str, Any]], name: str) -> dict[str, Any]:
    merged: dict[str, Any] = {}
    for each in tables:
        for key, value in each.get(name, {}).items():
            merged[" ".join(_words(key)).replace(" ", "")] = value
    return merged


def _known(
    tables: Iterable[dict[str, Any]], phrases: Iterable[Phrase], numbers: Iterable[str]
) -> Iterator[str]:
    for phrase in phrases:
        yield from phrase
    for each in tables:
        for line in each.get("common", {}).get("words", ()):
            yield from _words(line)
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


@cache
def blended(language: str) -> Lexicon:
    """A language, and from each other one what cannot be taken for a word of it.

    Clients mix languages; "dolor 5, leg better" is read with both.
    """
    own = lexicon(language)
    phrases, every = dict(own.phrases), dict(own.every_phrase)
    numbers = dict(own.numbers)
    words = set(own.words)
    for other in (lexicon(each) for each in languages() if each != language):
        for phrase in filter(own.words.isdisjoint, other.every_phrase):
            every.setdefault(phrase, other.every_phrase[phrase])
            words.update(phrase)
            if phrase in other.phrases:
                phrases.setdefault(phrase, other.phrases[phrase])
        for word, value in other.numbers.items():
            if word not in own.words:
                numbers.setdefault(word, value)
                words.add(word)
    return Lexicon(
        language=language,
        phrases=phrases,
        every_phrase=every,
        tree=_tree(phrases, every),
        words=frozenset(words),
        numbers=numbers,
        spellings=own.spellings,
        signs=own.signs,
        blended=True,
    )
