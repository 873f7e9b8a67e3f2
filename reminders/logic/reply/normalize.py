"""Text folded to plain lower-case letters, each letter knowing where it came from.

Compatibility forms unfolded, accents and case dropped, invisible characters
removed, pictures turned into words. Folding twice changes nothing.
"""

import tomllib
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files

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
    out: list[str] = []
    origin: list[int] = []
    for at, character in enumerate(text):
        folded = _fold_one(character)
        if character in _FRACTIONS and not (out and out[-1][-1:].isdigit()):
            folded = "0" + folded
        out.append(folded)
        origin.extend([at] * len(folded))
    return Folded("".join(out), origin)


@cache
def _plain_letters() -> dict[int, str]:
    """Each ASCII character folded to one, so that offsets stay as they are."""
    return {code: _fold_one(chr(code)) for code in range(128)}


@lru_cache(maxsize=8192)
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
