"""Texts to clients and staff, made from values and measured.

Answers never repeat what a client said about their health: nothing here takes a pain
number or a place. The themes of the safety texts are those of the clinical red-flag
literature (Finucane et al. 2020, JOSPT); local rules and licensed practice come first.
"""

import re
import tomllib
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from reminders.logic.segments import Segments, measure, plain
from reminders.logic.templates import (
    LANGUAGES,
    Asks,
    TextError,
    TextTooLong,
    body_of,
    check_template,
    fill,
    kind_of,
    more_phrase,
)

__all__ = [
    "LANGUAGES",
    "Text",
    "TextError",
    "TextTooLong",
    "check_template",
    "lint_health_words",
    "reminder",
    "render",
]

_HEALTH_WORDS = Path(__file__).with_name("texts") / "health_words.toml"


@dataclass(frozen=True, slots=True)
class Text:
    """A text ready to send.

    `asks` is the question it leaves open: "nothing" closes the last one, None
    leaves it as it was, "start" means reminders wait for any answer to this.
    """

    kind: str
    body: str
    asks: Asks | None
    segments: Segments


def render(*, kind: str, language: str, body: str | None = None, **values: str) -> Text:
    """Make the text of this kind, from the stored body or the clinic's own `body`.

    Values the body does not use are ignored, so a site's usual ones (clinic,
    emergency, crisis, phone, opens) can always be passed. Curly quotes and accents
    that would multiply the parts become plain. Raises TextError for an unknown kind
    or language and for a missing or empty value; never for length, because a long
    safety text is better than none (`check_template` refuses it when it is saved).
    """
    template = body_of(kind, language) if body is None else body
    written = plain(fill(template, _usable(values)))
    return Text(kind, written, kind_of(kind).asks, measure(written))


def reminder(
    *,
    language: str,
    clinic: str,
    exercise: str,
    dose: str,
    more: int = 0,
    changed: bool = False,
) -> Text:
    """The reminder of one session: its first exercise, `more` others, three questions.

    `changed` says that the dose is new, for the first reminders after a decision.
    """
    return render(
        kind="reminder_changed" if changed else "reminder",
        language=language,
        clinic=clinic,
        exercise=exercise,
        dose=dose,
        more=more_phrase(more, language),
    )


def lint_health_words(body: str, language: str) -> list[str]:
    """Words in a staff-written text that tell a bystander what is wrong, as written.

    A warning, not a ban; each is named once, in order. Raises TextError for an
    unknown language.
    """
    if language not in LANGUAGES:
        raise TextError(f"no word list in {language!r}: choose {', '.join(LANGUAGES)}")
    written = unicodedata.normalize("NFC", body)
    found = _health_words()[language].finditer(_unaccented(written))
    words = [written[match.start() : match.end()] for match in found]
    return list(dict.fromkeys(words))


def _usable(values: Mapping[str, str]) -> dict[str, str]:
    """Values on one line, without control characters; empty ones count as missing."""
    cleaned = {name: _cleaned(value) for name, value in values.items()}
    usable = {name: value for name, value in cleaned.items() if value}
    # This one is our own phrase: it starts with a space and may be empty.
    return usable | {name: values[name] for name in ("more",) if name in values}


def _cleaned(value: str) -> str:
    shown = "".join(one if one.isprintable() else " " for one in value)
    return " ".join(shown.split())


def _unaccented(text: str) -> str:
    """Lower case without accents, one character for each so that places agree."""
    return "".join(unicodedata.normalize("NFD", one)[0].lower()[0] for one in text)


@cache
def _health_words() -> dict[str, re.Pattern[str]]:
    raw = tomllib.loads(_HEALTH_WORDS.read_text(encoding="utf-8"))
    return {language: _pattern(entries) for language, entries in raw.items()}


def _pattern(entries: list[str]) -> re.Pattern[str]:
    longest_first = sorted(entries, key=len, reverse=True)
    words = (re.escape(one).replace(r"\*", r"\w*") for one in longest_first)
    return re.compile(rf"(?<!\w)(?:{'|'.join(words)})(?!\w)")
