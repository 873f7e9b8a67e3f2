"""What was read in a text: the parts it was read from, and the reading in words.

A part may serve several fields and spans may overlap, so the text is cut at every
edge and each piece names all it was read for. Nothing here is markup: a page escapes
each piece.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final

from reminders.logic.reason_words import WARNING_WORDS

_SHIFTS: Final = {
    "toward_back": "drawing back toward the spine",
    "down_leg": "moving down the leg",
}
_ASK_BACKS: Final = {
    "safety": "asked about warning signs",
    "reach": "asked how far it reaches",
    "pain": "asked how strong it is",
    "who": "asked who is meant",
    "opt_out": "asked whether texts should end",
}
_MAPPINGS: Final = ("areas", "pain_by_area", "sensation", "warnings")
_COUNTS: Final = ("hold_seconds", "repetitions", "sets")


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of the text as written, and what it was read for; empty: nothing."""

    text: str
    said: str = ""


def pieces(text: str, reply: Mapping[str, Any] | None) -> tuple[Piece, ...]:
    """The text in order, cut where what was read begins and ends.

    `reply` is a stored reply. A span outside the text, upside down or of a field
    that says nothing is left out: a page must show any stored row.
    """
    spans = list(_spans(reply or {}, len(text)))
    edges = sorted({0, len(text), *(edge for _, *ends in spans for edge in ends)})
    cut: list[Piece] = []
    for start, end in pairwise(edges):
        said = [name for name, low, high in spans if low <= start and end <= high]
        _add(cut, Piece(text[start:end], "; ".join(dict.fromkeys(said))))
    return tuple(cut)


def in_words(reply: Mapping[str, Any] | None) -> tuple[str, ...]:
    """What the text was read as, one phrase a field; empty when nothing was read."""
    reply = reply or {}
    said: list[str] = []
    for name in ("keyword", *_MAPPINGS[3:], "completion", "pain", "overall", "shift"):
        said += _field(reply, name)
    for name in (*_MAPPINGS[:3], "side", *_COUNTS, "stop_inside", "ask_back"):
        said += _field(reply, name)
    if reply.get("needs_human"):
        said.append("needs a person")
    return tuple(dict.fromkeys(said))


def _spans(reply: Mapping[str, Any], length: int) -> Iterator[tuple[str, int, int]]:
    evidence: Mapping[str, Sequence[int]] = reply.get("evidence") or {}
    for field, span in evidence.items():
        start, end = span
        if field in _MAPPINGS and any(key.startswith(f"{field}.") for key in evidence):
            continue  # named again by its entries
        said = "; ".join(_field(reply, field))
        if said and 0 <= start < end <= length:
            yield said, start, end


def _field(reply: Mapping[str, Any], field: str) -> list[str]:
    """A field such as "pain" or "areas.foot" in words; nothing when it is not said."""
    name, _, key = field.partition(".")
    value = reply.get(name)
    if value in (None, False, "", [], {}):
        return []
    if name in _MAPPINGS:
        keys = [key] if key else list(value)
        return [words for one in keys if (words := _entry(name, one, value))]
    return [_plain(name, value)]


def _entry(name: str, key: str, value: Any) -> str:
    place = key.replace("_", " ")
    if name == "warnings":
        return WARNING_WORDS.get(key, place).lower()
    if key not in value:
        return ""
    if name == "pain_by_area":
        return f"{place} pain {_figure(value[key])}"
    return place if value[key] == "present" else f"{place} {value[key]}"


def _plain(name: str, value: Any) -> str:
    if name == "pain":
        return f"pain {_figure(value)}"
    if name == "shift":
        return _SHIFTS.get(value, str(value))
    if name == "overall":
        return f"{value} overall"
    if name == "side":
        return "both sides" if value == "both" else f"{value} side"
    if name == "ask_back":
        return _ASK_BACKS.get(value, str(value))
    if name == "keyword":
        return f"the request {str(value).upper()}"
    return _counted(name, value)


def _counted(name: str, value: Any) -> str:
    if name == "hold_seconds":
        return f"held {value} s"
    if name in _COUNTS:
        return f"{value} {name}"
    plain = {"stop_inside": "asks to end texts", "needs_human": "needs a person"}
    return plain.get(name, str(value))


def _figure(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _add(cut: list[Piece], piece: Piece) -> None:
    if cut and cut[-1].said == piece.said:
        piece = Piece(cut.pop().text + piece.text, piece.said)
    if piece.text:
        cut.append(piece)
