"""The stored bodies of every text, and whether a clinic's own body may replace one.

Bodies are data (texts/*.toml), one file a language. A placeholder is {name}; it is
filled by plain replacement, so a body edited by staff can reach nothing else.
"""

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal, cast

from reminders.logic.segments import Segments, measure

Asks = Literal[
    "session", "pain", "reach", "safety", "who", "opt_out", "nothing", "start"
]

LANGUAGES = ("en", "es", "fr")
TAKEN_WORDS = frozenset(
    {
        *("STOP", "STOPALL", "END", "CANCEL", "UNSUBSCRIBE", "QUIT", "REVOKE"),
        *("OPTOUT", "REMOVE", "START", "YES", "UNSTOP", "HELP", "INFO"),
        *("ALTO", "PARAR", "PARE", "BAJA", "CANCELAR", "DETENER", "AYUDA"),
        *("ARRET", "ARRETE", "ARRETER", "FIN", "ANNULER", "AIDE"),
    }
)
"""Words the gateway or opt-out handling takes for itself (47 CFR 64.1200(a)(10),
CTIA principles, the gateways' lists): an answer made of one never reaches us."""

_FOLDER = Path(__file__).with_name("texts")
_PLACEHOLDER = re.compile(r"\{([a-z_]+)\}")
_PART_UNITS = {1: 160, 2: 306}
_MOST_MORE = 12


class TextError(ValueError):
    """A text that cannot be used; says which `placeholder` or `culprit` is wrong."""

    def __init__(
        self,
        message: str,
        *,
        placeholder: str | None = None,
        culprit: str | None = None,
    ) -> None:
        super().__init__(message)
        self.placeholder = placeholder
        self.culprit = culprit


class TextTooLong(TextError):
    """A text that takes more parts than its kind may; `over` counts units too many."""

    def __init__(self, message: str, *, over: int, placeholder: str | None) -> None:
        super().__init__(message, placeholder=placeholder)
        self.over = over


@dataclass(frozen=True, slots=True)
class Kind:
    """What holds for a kind in every language: part limit, question, commands."""

    name: str
    parts: int
    asks: Asks | None
    commands: frozenset[str]


@cache
def kinds() -> Mapping[str, Kind]:
    """Every kind of text by name."""
    return {
        name: Kind(
            name,
            entry["parts"],
            entry.get("asks"),
            frozenset(entry.get("commands", ())),
        )
        for name, entry in _data("kinds")["kinds"].items()
    }


def kind_of(name: str) -> Kind:
    """The kind with this name; raises TextError naming the ones there are."""
    if name not in kinds():
        raise TextError(f"unknown kind of text {name!r}: use {', '.join(kinds())}")
    return kinds()[name]


def body_of(kind: str, language: str) -> str:
    """The stored body of a kind in a language; raises TextError for unknown ones."""
    return cast(str, _language(language)["bodies"][kind_of(kind).name])


def placeholders(body: str) -> frozenset[str]:
    """Names of the placeholders a body holds."""
    return frozenset(_PLACEHOLDER.findall(body))


def fill(body: str, values: Mapping[str, str]) -> str:
    """The body with its placeholders replaced; raises TextError for a missing one."""
    missing = sorted(placeholders(body) - set(values))
    if missing:
        raise TextError(f"no value for {{{missing[0]}}}", placeholder=missing[0])
    return _PLACEHOLDER.sub(lambda found: values[found[1]], body)


def more_phrase(count: int, language: str) -> str:
    """ " +2 more" behind the first exercise; empty when it is the only one."""
    phrases = _language(language)["phrases"]
    if count < 1:
        return ""
    phrase: str = phrases.get("more_one", phrases["more"]) if count == 1 else ""
    return (phrase or phrases["more"]).replace("{count}", str(count))


def longest_values(language: str) -> dict[str, str]:
    """The longest value a clinic may enter for each placeholder, as filler."""
    filler = {name: "X" * size for name, size in _data("kinds")["longest"].items()}
    return filler | {"more": more_phrase(_MOST_MORE, language)}


def check_template(
    kind: str,
    language: str,
    body: str,
    longest: Mapping[str, str] | None = None,
) -> Segments:
    """Measure a body of this kind at its longest, or refuse it.

    `longest` replaces `longest_values` where given. Raises TextError for an empty
    body, a wrong or missing placeholder, a character outside the 7-bit alphabet or
    an answer word that never reaches us, TextTooLong when it takes too many parts.
    """
    stored = body_of(kind, language)
    _check_placeholders(body, placeholders(stored))
    _check_characters(body)
    _check_answer_words(kind_of(kind), body)
    values = longest_values(language) | dict(longest or {})
    for name in placeholders(body):
        _check_characters(values[name], placeholder=name)
    measured = measure(fill(body, values))
    _check_length(kind_of(kind), measured, _largest(body, values))
    return measured


def _check_placeholders(body: str, expected: frozenset[str]) -> None:
    if not body.strip():
        raise TextError("the text is empty: write one or keep the stored one")
    rest = _PLACEHOLDER.sub("", body)
    for brace in "{}":
        if brace in rest:
            raise TextError(
                f"a lone {brace}: write placeholders like {{clinic}}", culprit=brace
            )
    for name in sorted(placeholders(body) - expected):
        raise TextError(f"{{{name}}} has no value in this text", placeholder=name)
    for name in sorted(expected - placeholders(body)):
        raise TextError(f"{{{name}}} is missing from this text", placeholder=name)


def _check_characters(text: str, *, placeholder: str | None = None) -> None:
    for culprit in measure(text).culprits:
        hint = "" if culprit.plain is None else f"; write {culprit.plain!r} instead"
        place = f" in {{{placeholder}}}" if placeholder else ""
        raise TextError(
            f"{culprit.character!r}{place} at {culprit.index + 1} more than doubles "
            f"the cost of the whole text{hint}",
            placeholder=placeholder,
            culprit=culprit.character,
        )


def _check_answer_words(kind: Kind, body: str) -> None:
    if kind.asks in (None, "nothing"):
        return
    for word in re.findall(r"[A-Z]{2,}", body):
        if word in TAKEN_WORDS - kind.commands:
            raise TextError(
                f"{word} cannot be an answer, the gateway takes it for itself: ask "
                "for another word",
                culprit=word,
            )


def _check_length(kind: Kind, measured: Segments, largest: str | None) -> None:
    if measured.parts <= kind.parts:
        return
    # An escape pair that would be cut can cost a part with no unit too many.
    over = max(1, measured.units - _PART_UNITS[kind.parts])
    blame = f"; {{{largest}}} takes the most room" if largest else ""
    raise TextTooLong(
        f"{over} too many for {kind.parts} part(s) at its longest{blame}",
        over=over,
        placeholder=largest,
    )


def _largest(body: str, values: Mapping[str, str]) -> str | None:
    return max(
        sorted(placeholders(body)), key=lambda name: len(values[name]), default=None
    )


def _language(language: str) -> dict[str, Any]:
    if language not in LANGUAGES:
        raise TextError(f"no texts in {language!r}: choose {', '.join(LANGUAGES)}")
    return _data(language)


@cache
def _data(name: str) -> dict[str, Any]:
    return tomllib.loads((_FOLDER / f"{name}.toml").read_text(encoding="utf-8"))
