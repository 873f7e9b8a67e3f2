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
_TABLES_OF_OTHER_SHAPE = frozenset(
    {"numbers", "spellings", "common", "sign", "signs_only"}
)
_NOT_A_LANGUAGE = "signs"


@dataclass(frozen=True, slots=True)
class Sign:
    """Concepts that together mean one thing: `parts` in order, `gap` words apart.

    `yields` is warn, ask or human; `unless` are concepts that silence it when
    they stand in the same clause.
    """

    kind: str
    parts: tuple[frozenset[str], ...]
    gap: int
    free_order: bool
    yields: str
    unless: frozenset[str]


@dataclass(frozen=True, slots=True)
class Lexicon:
    """Phrases with their concepts, known words, numbers, spellings and signs.

    `phrases` are those facts are read from; `every_phrase` has also those of files
    marked `signs_only`, whose long phrases would hide shorter facts inside them.
    """

    language: str
    phrases: Mapping[Phrase, tuple[str, ...]]
    every_phrase: Mapping[Phrase, tuple[str, ...]]
    longest: Mapping[str, int]
    words: frozenset[str]
    numbers: Mapping[str, float]
    spellings: Mapping[str, Phrase]
    signs: tuple[Sign, ...]


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
    every = _phrases(tables)
    numbers = _merged(tables, "numbers")
    spellings = {k: _words(v) for k, v in _merged(tables, "spellings").items()}
    return Lexicon(
        language=language,
        phrases=_phrases(each for each in tables if not each.get("signs_only")),
        every_phrase=every,
        longest=_longest(every),
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
            phrase = _words(" ".join(chosen).replace("_", " "))
            if phrase:
                yield phrase


def _root() -> Traversable:
    return files("reminders.logic.reply") / "vocabulary"


def _choices(piece: str) -> list[str]:
    optional = piece.endswith("?")
    choices = piece.rstrip("?").split("|")
    return [*choices, ""] if optional else choices


def _words(text: str) -> Phrase:
    return tuple(token.text for token in tokenize(text))


def _tables(folder: Traversable) -> Iterator[dict[str, Any]]:
    for each in sorted(folder.iterdir(), key=lambda path: path.name):
        if each.name.endswith(".toml"):
            yield tomllib.loads(each.read_text(encoding="utf-8"))


def _phrases(tables: Iterable[dict[str, Any]]) -> dict[Phrase, tuple[str, ...]]:
    found: dict[Phrase, list[str]] = {}
    for table, key, pattern in _entries(tables):
        for phrase in expand(pattern):
            concepts = found.setdefault(phrase, [])
            if f"{table}.{key}" not in concepts:
                concepts.append(f"{table}.{key}")
    return {phrase: tuple(concepts) for phrase, concepts in found.items()}


def _entries(tables: Iterable[dict[str, Any]]) -> Iterator[tuple[str, str, str]]:
    for each in tables:
        for table, content in each.items():
            if table in _TABLES_OF_OTHER_SHAPE:
                continue
            for key, patterns in content.items():
                for pattern in patterns:
                    yield table, key, pattern


def _longest(phrases: Iterable[Phrase]) -> dict[str, int]:
    longest: dict[str, int] = {}
    for phrase in phrases:
        longest[phrase[0]] = max(len(phrase), longest.get(phrase[0], 0))
    return longest


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
                parts=tuple(_named(part, concepts) for part in entry["parts"]),
                gap=entry.get("gap", 3),
                free_order=entry.get("order", "free") == "free",
                yields=entry.get("yields", "warn"),
                unless=_named(" ".join(entry.get("unless", ())), concepts),
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
        longest=_longest(every),
        words=frozenset(words),
        numbers=numbers,
        spellings=own.spellings,
        signs=own.signs,
    )
