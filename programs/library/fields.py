"""Reading one field at a time, so that a mistake names its file and its field."""

import re
from collections.abc import Collection, Mapping
from types import MappingProxyType
from typing import Any

from programs.logic.exercises import DOSE_BOUNDS, KIND_FIELDS, LANGUAGES, CommonDose

Table = Mapping[str, Any]
Phrases = Mapping[str, Mapping[str, Mapping[str, str]]]

SHORT_NAME_LIMIT = 24

# The part of the GSM 7-bit basic alphabet a name may use (3GPP TS 23.038): one
# letter outside it, such as á or ç, more than doubles the parts of every text.
_GSM_NAME = re.compile(r"[A-Za-z0-9 .,:'()/+\-èéùìòÇØøÅåÆæßÉÄÖÑÜäöñüà]+")


class LibraryError(ValueError):
    """A library file that must not be used: `file`, `field`, what to put right."""

    def __init__(self, file: str, field: str, message: str) -> None:
        super().__init__(f"{file}: {field}: {message}")
        self.file = file
        self.field = field
        self.message = message


def table(entry: Table, field: str, file: str) -> Table:
    """A sub-table."""
    value = entry.get(field)
    if not isinstance(value, dict):
        raise LibraryError(file, field, "must be a table")
    return value


def word(entry: Table, field: str, file: str) -> str:
    """A line of text that says something."""
    value = entry.get(field)
    if not isinstance(value, str) or not value.strip():
        raise LibraryError(file, field, "must be text and must not be empty")
    return value


def choice(entry: Table, field: str, file: str, *, of: Collection[str]) -> str:
    """One word of a closed list."""
    value = word(entry, field, file)
    if value not in of:
        raise LibraryError(file, field, f"{value!r} is not one of {', '.join(of)}")
    return value


def whole(entry: Table, field: str, file: str, *, low: int, high: int) -> int:
    """A whole number from `low` to `high`."""
    value = entry.get(field)
    # bool is an int in Python: `sets = true` would pass as one set
    if not isinstance(value, int) or isinstance(value, bool):
        raise LibraryError(file, field, "must be a whole number")
    if not low <= value <= high:
        raise LibraryError(file, field, f"{value} is not between {low} and {high}")
    return value


def lines(entry: Table, field: str, file: str) -> tuple[str, ...]:
    """A list of texts, at least one."""
    value = entry.get(field)
    if not isinstance(value, list) or not value:
        raise LibraryError(file, field, "must be a list with at least one entry")
    if not all(isinstance(line, str) and line.strip() for line in value):
        raise LibraryError(file, field, "holds an entry that is empty or not text")
    return tuple(value)


def refuse_unknown(entry: Table, known: Collection[str], file: str) -> None:
    """Raise on a field nobody reads: a misspelt field would be silently ignored."""
    for field in entry:
        if field not in known:
            raise LibraryError(file, field, "is not a field of this file")


def short_name(entry: Table, field: str, file: str) -> str:
    """A name short and plain enough to sit inside a one-part text message."""
    value = word(entry, field, file)
    if len(value) > SHORT_NAME_LIMIT:
        count = f"{len(value)} characters, at most {SHORT_NAME_LIMIT} allowed"
        raise LibraryError(file, field, count)
    if not _GSM_NAME.fullmatch(value):
        bad = ", ".join(sorted({c for c in value if not _GSM_NAME.fullmatch(c)}))
        raise LibraryError(file, field, f"{bad} would double the text; write it plain")
    return value


def dose(entry: Table, kind: str, file: str) -> CommonDose:
    """The dose of an exercise of this kind: every field it carries and no other."""
    refuse_unknown(entry, KIND_FIELDS[kind], file)
    values = {
        field: whole(entry, field, file, low=low, high=high)
        for field, (low, high) in DOSE_BOUNDS.items()
        if field in KIND_FIELDS[kind]
    }
    return CommonDose(**values)


def per_language(entry: Table, field: str, file: str) -> Mapping[str, str]:
    """The same sentence in every language of the library."""
    refuse_unknown(entry, LANGUAGES, file)
    said = {language: word(entry, language, file) for language in LANGUAGES}
    return MappingProxyType(said)


def phrases_from(entry: Table, file: str) -> Phrases:
    """The shared sentences: `stop_if` and `caution`, each key in every language."""
    refuse_unknown(entry, ("stop_if", "caution"), file)
    read: dict[str, Mapping[str, Mapping[str, str]]] = {}
    for kind in ("stop_if", "caution"):
        keyed = table(entry, kind, file)
        read[kind] = {
            key: per_language(table(keyed, key, file), key, f"{file} [{kind}.{key}]")
            for key in keyed
        }
    return MappingProxyType(read)


def phrase_keys(
    entry: Table, field: str, file: str, *, kind: str, phrases: Phrases
) -> tuple[str, ...]:
    """A list of keys of shared sentences, each of them known and named once."""
    keys = lines(entry, field, file)
    for key in keys:
        if key not in phrases[kind]:
            raise LibraryError(file, field, f"phrases.toml has no [{kind}.{key}]")
    if len(set(keys)) != len(keys):
        raise LibraryError(file, field, "names a sentence twice")
    return keys
