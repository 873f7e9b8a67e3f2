"""How a text travels: 7-bit or UCS-2, in how many parts, and what is to blame.

Rules: 3GPP TS 23.038 (alphabet and extension table), 3GPP TS 23.040 (140 octets
a message, 6 of them for the joining header when there are several parts).
"""

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Encoding = Literal["GSM-7", "UCS-2"]

BASIC = frozenset(
    "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?"
    "¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà"
)
EXTENSION = frozenset("\f^{}\\[~]|€")
"""Sent behind an escape, so each costs two units."""

_CAPACITY: dict[Encoding, tuple[int, int]] = {"GSM-7": (160, 153), "UCS-2": (70, 67)}
"""Units in a lone part, units in each of several parts."""

_PLAIN = {
    **dict.fromkeys("‘’‚‛`´ʼ′", "'"),
    **dict.fromkeys("“”„‟«»″", '"'),
    **dict.fromkeys("‐‑‒–—―−•·", "-"),
    **dict.fromkeys("\t\u00a0\u2002\u2003\u2009\u200a\u202f\u3000", " "),
    **dict.fromkeys("\u2028\u2029\x85\x0b", "\n"),
    **dict.fromkeys("\u00ad\u200b\u200c\u200d\u200e\u200f\u2060\ufeff\ufe0e\ufe0f", ""),
    "…": "...",
    "‹": "<",
    "›": ">",
    "×": "x",
    "→": "->",
    "≤": "<=",
    "≥": ">=",
    "œ": "oe",
    "Œ": "OE",
    "ł": "l",
    "Ł": "L",
    "đ": "d",
    "Đ": "D",
    "ı": "i",
}
_SAFE_FOLDS = ("<wide>", "<narrow>", "<noBreak>")
"""Other compatibility folds change meaning: 10² would turn into 102."""


@dataclass(frozen=True, slots=True)
class Culprit:
    """A character outside the 7-bit alphabet and what may stand for it.

    `index` counts code points from 0; `plain` is None when no faithful plain
    form exists, and empty when the character can simply go.
    """

    index: int
    character: str
    plain: str | None


@dataclass(frozen=True, slots=True)
class Segments:
    """The measured text: `units` are septets (GSM-7) or UTF-16 units (UCS-2).

    An empty text has no part at all: nothing to send.
    """

    encoding: Encoding
    units: int
    parts: int
    culprits: tuple[Culprit, ...]
    units_per_part: tuple[int, ...]


def measure(text: str) -> Segments:
    """Measure any string, also one with NUL or lone surrogates; never raises."""
    culprits = tuple(
        Culprit(index, character, _plain_form(character))
        for index, character in enumerate(text)
        if not _is_gsm(character)
    )
    encoding: Encoding = "UCS-2" if culprits else "GSM-7"
    sizes = _sizes(text, encoding)
    per_part = _fill(sizes, encoding)
    return Segments(encoding, sum(sizes), len(per_part), culprits, per_part)


def plain(text: str) -> str:
    """Replace what has a faithful plain form (’ by ', á by a) and nothing else.

    Letters of the 7-bit alphabet such as é and ñ stay; emoji and other scripts
    stay too, because dropping them would change what was said.
    """
    if all(map(_is_gsm, text)):
        return text
    # A letter typed as base plus combining accent is one 7-bit letter once composed.
    composed = unicodedata.normalize("NFC", text)
    return "".join(map(_plain_or_same, composed))


def _is_gsm(character: str) -> bool:
    return character in BASIC or character in EXTENSION


def _plain_or_same(character: str) -> str:
    if _is_gsm(character):
        return character
    form = _plain_form(character)
    return character if form is None else form


def _plain_form(character: str) -> str | None:
    if character in _PLAIN:
        return _PLAIN[character]
    if "\u0300" <= character <= "\u036f":
        return ""
    folded = _folded(character)
    return folded if folded and all(map(_is_gsm, folded)) else None


def _folded(character: str) -> str:
    """The letter without its accents, the digit without its width."""
    rule = unicodedata.decomposition(character)
    if rule.startswith("<") and not _safe_fold(character, rule):
        return ""
    form: Literal["NFKD", "NFD"] = "NFKD" if rule.startswith("<") else "NFD"
    letters = unicodedata.normalize(form, character)
    return "".join(one for one in letters if not unicodedata.combining(one))


def _safe_fold(character: str, rule: str) -> bool:
    return rule.startswith(_SAFE_FOLDS) or "\ufb00" <= character <= "\ufb06"


def _sizes(text: str, encoding: Encoding) -> list[int]:
    """Units of each thing that must stay whole: escape pair, surrogate pair."""
    if encoding == "GSM-7":
        return [2 if character in EXTENSION else 1 for character in text]
    # A pair handed over as two surrogates is still one character to the phone.
    joined = text.encode("utf-16-le", "surrogatepass")
    whole = joined.decode("utf-16-le", "surrogatepass")
    return [2 if character > "\uffff" else 1 for character in whole]


def _fill(sizes: Iterable[int], encoding: Encoding) -> tuple[int, ...]:
    single, joined = _CAPACITY[encoding]
    sizes = list(sizes)
    total = sum(sizes)
    if total <= single:
        return (total,) if total else ()
    parts = [0]
    for size in sizes:
        if parts[-1] + size > joined:
            parts.append(0)
        parts[-1] += size
    return tuple(parts)
