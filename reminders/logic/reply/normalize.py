"""Text folded to plain lower-case letters, each letter knowing where it came from.

Compatibility forms unfolded, accents and case dropped, invisible characters
removed, pictures turned into words. Folding twice changes nothing.
"""

import tomllib
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

_REMEMBERED = 8192
_FRACTIONS = {"½": ".5", "¼": ".25", "¾": ".75"}
_KEPT = {
    **dict.fromkeys("’‘ʼ´`′＇", "'"),
    **dict.fromkeys("–—−‑‐‒﹣－", "-"),
    **dict.fromkeys("“”„«»″", '"'),
    **dict.fromkeys("→➡➔⇒⟶➜▶", "->"),
    **dict.fromkeys("⁄∕÷", "/"),
    **dict.fromkeys("º°ª", " "),
    "×": "x",
    "№": " number ",
    **dict.fromkeys("øØ", "o"),
    **dict.fromkeys("łŁ", "l"),
    **dict.fromkeys("œŒ", "oe"),
    **dict.fromkeys("æÆ", "ae"),
}


@dataclass(frozen=True, slots=True)
class Folded:
    """`text` after folding; `origin[k]` is where its k-th character came from."""

    text: str
    origin: Sequence[int]

    def span(self, start: int, end: int) -> tuple[int, int]:
        """Offsets in the original of `text[start:end]`."""
        if start >= end:
            return (0, 0)
        return (self.origin[start], self.origin[end - 1] + 1)


@cache
def pictures() -> dict[str, str]:
    """Emoji and the word each is read as."""
    path = files("reminders.logic.reply") / "vocabulary" / "signs" / "emoji.toml"
    table = tomllib.loads(path.read_text(encoding="utf-8"))["emoji"]
    return {each: word for word, group in table.items() for each in group.split()}


def fold(text: str) -> Folded:
    """Fold any string, lone surrogates and controls included; never raises."""
    if text.isascii():
        return Folded(text.translate(_plain_letters()), range(len(text)))
    parts = [_FOLDED[character] for character in text]
    if not _FRACTIONS.keys().isdisjoint(text):
        parts = _fractions_apart(text, parts)
    folded = "".join(parts)
    lengths = [len(part) for part in parts]
    if lengths.count(1) == len(lengths):
        return Folded(folded, range(len(text)))
    origin = [at for at, many in enumerate(lengths) for _ in range(many)]
    return Folded(folded, tuple(origin))


def _fractions_apart(text: str, parts: list[str]) -> list[str]:
    """ "3½" is 3.5 and a "½" alone 0.5."""
    out: list[str] = []
    for character, part in zip(text, parts, strict=True):
        after_digit = out and out[-1][-1:].isdigit()
        whole = "" if character not in _FRACTIONS or after_digit else "0"
        out.append(whole + part)
    return out


@cache
def _plain_letters() -> dict[int, str]:
    """Each ASCII character folded to one, so that offsets stay as they are."""
    return {code: _fold_one(chr(code)) for code in range(128)}


class _Folding(dict[str, str]):
    """Characters met so far; bounded, for there are a million others."""

    def __missing__(self, character: str) -> str:
        folded = _fold_one(character)
        if len(self) < _REMEMBERED:
            self[character] = folded
        return folded


_FOLDED = _Folding()


def _fold_one(character: str) -> str:
    if character in _FRACTIONS:
        return _FRACTIONS[character]
    if character in _KEPT:
        return _KEPT[character]
    word = pictures().get(character)
    if word:
        return f" {word} "
    return _settle(character)


def _settle(character: str) -> str:
    """Unfold until nothing changes: one pass can uncover another accent."""
    now = character
    for _ in range(4):
        then = "".join(_bare(each) for each in unicodedata.normalize("NFKD", now))
        if then == now:
            break
        now = then
    return now


def _bare(character: str) -> str:
    if character in "\n\t ":
        return character
    kind = unicodedata.category(character)
    if kind in ("Mn", "Me", "Cf"):
        return ""
    if kind[0] in "CZ":
        return "\n" if kind == "Zl" or kind == "Zp" or character == "\r" else " "
    if character.isdecimal():
        return str(unicodedata.decimal(character))
    return _KEPT.get(character, character.casefold())
