"""One client's way of writing: facts in, a text out, as people text.

A text is either a whole template or clauses joined in some order, then bent by
the voice (a formal letter, dictation without stops), by emoji, by missing accents
and by slips of the thumb. No two clients write alike; one client always does.
"""

import random
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from reminders.simulation.phrasebook import Phrasebook, phrasebook
from reminders.simulation.said import Said
from reminders.simulation.typos import with_typos

VOICES: Final = (
    "plain",
    "trade",
    "formal",
    "teen",
    "shorthand",
    "dictation",
)
_VOICE_WEIGHTS: Final = (50, 14, 12, 8, 6, 10)

# Kept format: 78 % of replies in a text survey (Singapore study, rheumatoid
# arthritis); the rest write as they please.
_KEEPS_FORMAT: Final = 0.78
_TEMPLATE_RATHER_THAN_CLAUSES: Final = 0.55

_SLOT: Final = re.compile(r"\{(\w+)\}")
_FACT_OF_SLOT: Final = {
    "done": "completion",
    "n": "pain",
    "w": "pain",
    "b": "back_pain",
    "pain": "pain",
    "bare": "area",
    "spot": "area",
    "area": "area",
    "overall": "overall",
    "moved": "shift",
}
_STRICT_SLOTS: Final = frozenset({"done", "n", "bare"})


@dataclass(frozen=True, slots=True)
class Speaker:
    """How one client writes. Rates are shares of texts or words, 0 to 1."""

    language: str
    voice: str
    typo_rate: float
    emoji_rate: float
    drops_accents: bool
    shouts: bool

    @property
    def book(self) -> Phrasebook:
        return phrasebook(self.language)

    def report(self, said: Said, rng: random.Random) -> tuple[str, Said]:
        """Return a session report and the facts that really got into it.

        Who keeps to the asked format leaves out how things changed.
        """
        if said.back_pain is None and rng.random() < _KEEPS_FORMAT:
            said = replace(said, overall=None, shift=None, left_area=None)
            text = self._from_template(said, self._strict(), rng)
            if text is not None:
                return self._finished(text, rng), replace(said, tingling_area=None)
        text, said = self._free(said, rng)
        return self._finished(text, rng), said

    def phrase(self, name: str, said: Said, rng: random.Random) -> str:
        """Return one phrasing of the list `name`, its slots filled from `said`."""
        return self._finished(self._pick(name, said, rng), rng)

    def exact(self, name: str, rng: random.Random) -> str:
        """Return one phrasing untouched: a keyword with a slip is another word."""
        return rng.choice(self.book.of(name))

    def with_warning(self, said: Said, rng: random.Random) -> str:
        """Return a warning sign, alone or after a rating."""
        sign = self._pick(f"warning.{said.warning}", said, rng)
        if said.pain is None:
            return self._finished(sign, rng)
        joined = self._join([self._pick("pain.forms", said, rng), sign], rng)
        return self._finished(joined, rng)

    def _strict(self) -> list[str]:
        return [t for t in self.book.of("templates.plain") if slots(t) <= _STRICT_SLOTS]

    def _free(self, said: Said, rng: random.Random) -> tuple[str, Said]:
        moved = self._moved(said, rng)
        if moved is not None:
            said = _as_moved(said, slots(moved))
        text = None
        if rng.random() < _TEMPLATE_RATHER_THAN_CLAUSES:
            own = self.book.of(f"templates.{self.voice}")
            extra = self.book.of("templates.two_numbers")
            pool = [*own, *own, *self.book.of("templates.plain"), *extra]
            text = self._from_template(said, pool, rng, moved=moved)
        if text is None:
            return self._from_clauses(said, rng, moved=moved)
        text, said = self._with_tingling(text, said, rng)
        if rng.random() < 0.12:
            text = self._join([text, rng.choice(self.book.of("chat.after"))], rng)
        return text, said

    def _moved(self, said: Said, rng: random.Random) -> str | None:
        if said.shift is None:
            return None
        which = "in" if said.shift == "toward_back" else "out"
        return rng.choice(self.book.of(f"moved.{which}"))

    def _from_template(
        self,
        said: Said,
        pool: Sequence[str],
        rng: random.Random,
        *,
        moved: str | None = None,
    ) -> str | None:
        """A template that says exactly these facts; None if the language has none."""
        wanted = _facts(said)
        fitting = [t for t in pool if {_FACT_OF_SLOT[s] for s in slots(t)} == wanted]
        if not fitting:
            return None
        return self._fill(rng.choice(fitting), said, rng, moved=moved)

    def _from_clauses(
        self, said: Said, rng: random.Random, *, moved: str | None
    ) -> tuple[str, Said]:
        if said.back_pain is not None:
            said = replace(said, pain=said.leg_pain, back_pain=None, leg_pain=None)
        slot_of = {"completion": "{done}", "pain": "{pain}", "overall": "{overall}"}
        slot_of |= {"shift": "{moved}"} if said.shift else {"area": "{area}"}
        wanted = _facts(said)
        parts = [slot for fact, slot in slot_of.items() if fact in wanted]
        if rng.random() < 0.4:
            rng.shuffle(parts)
        filled = [self._fill(part, said, rng, moved=moved) for part in parts]
        return self._with_tingling(self._join(filled, rng), said, rng)

    def _with_tingling(
        self, text: str, said: Said, rng: random.Random
    ) -> tuple[str, Said]:
        if said.tingling_area is None:
            return text, said
        there = replace(said, area=said.tingling_area)
        clause = self._pick("sensation.tingling", there, rng)
        return self._join([text, clause], rng), said

    def _join(self, parts: Sequence[str], rng: random.Random) -> str:
        separator = rng.choice(self.book.of("words.separators"))
        return separator.join(part for part in parts if part)

    def _pick(self, name: str, said: Said, rng: random.Random) -> str:
        return self._fill(rng.choice(self.book.of(name)), said, rng)

    def _fill(
        self, template: str, said: Said, rng: random.Random, *, moved: str | None = None
    ) -> str:
        def value(match: re.Match[str]) -> str:
            return self._slot(match.group(1), said, rng, moved=moved)

        return _SLOT.sub(value, template)

    def _slot(
        self, slot: str, said: Said, rng: random.Random, *, moved: str | None
    ) -> str:
        """The words for one slot; slots inside them are filled in turn."""
        if slot == "n":
            return str(said.leg_pain if said.back_pain is not None else said.pain)
        if slot == "b":
            return str(said.back_pain)
        if slot == "w":
            return self.book.of("words.numbers")[said.pain or 0]
        if slot in {"bare", "spot"}:
            return self._area(slot, said.area or "back", said.side, rng)
        if slot == "far":
            return self._area("spot", said.left_area or "foot", said.side, rng)
        if slot == "moved":
            return self._fill(moved or "", said, rng)
        return self._pick(self._list_of(slot, said, rng), said, rng)

    def _list_of(self, slot: str, said: Said, rng: random.Random) -> str:
        if slot == "done":
            return f"done.{said.completion}"
        if slot == "overall":
            return f"overall.{said.overall}"
        if slot == "area" and said.area == "back" and rng.random() < 0.55:
            return "area.only_back"
        return f"{slot}.forms"

    def _area(self, form: str, area: str, side: str | None, rng: random.Random) -> str:
        def marked(match: re.Match[str]) -> str:
            return rng.choice(self.book.of(f"words.side.{side}.{match.group(1)}"))

        words = rng.choice(self.book.of(f"words.{form}.{area}"))
        if side is None:
            return " ".join(_SLOT.sub("", words).split())
        return _SLOT.sub(marked, words)

    def _finished(self, text: str, rng: random.Random) -> str:
        """The text as it leaves the phone."""
        text = self._voiced(text.strip(), rng)
        numbers = self.book.of("words.numbers")
        text = with_typos(text, rng, rate=self.typo_rate, protected=numbers)
        if self.drops_accents:
            text = without_accents(text)
        if rng.random() < self.emoji_rate:
            text = f"{text} {rng.choice(self.book.of('words.emoji'))}"
        return text.upper() if self.shouts else text

    def _voiced(self, text: str, rng: random.Random) -> str:
        if self.voice == "dictation":
            return " ".join(re.sub(r"[,;:!?]|\.(?!\d)", "", text).lower().split())
        if self.voice == "formal":
            return re.sub(r"(^|[.?!] )(\w)", _raised, text)
        if self.voice == "teen" or rng.random() < 0.5:
            return text
        return text[:1].upper() + text[1:]


def slots(template: str) -> frozenset[str]:
    """Return the names of the slots in `template`."""
    return frozenset(_SLOT.findall(template))


def _facts(said: Said) -> frozenset[str]:
    """The facts a template must name; a move names its area itself."""
    named = {"completion", "pain", "area", "overall", "shift", "back_pain"}
    if said.shift is not None:
        named.discard("area")
    return frozenset(name for name in named if getattr(said, name) is not None)


def _as_moved(said: Said, named: frozenset[str]) -> Said:
    """What a clause about a move says: only the places that it names."""
    area = said.area if "spot" in named else None
    left = said.left_area if "far" in named else None
    has_side = {area, left} - {None, "back"}
    return replace(
        said, area=area, left_area=left, side=said.side if has_side else None
    )


def _raised(match: re.Match[str]) -> str:
    return match.group(1) + match.group(2).upper()


def without_accents(text: str) -> str:
    """Return `text` as typed on a keyboard without accents."""
    apart = unicodedata.normalize("NFD", text)
    bare = "".join(each for each in apart if not unicodedata.combining(each))
    return unicodedata.normalize("NFC", bare)


def draw_speaker(language: str, rng: random.Random) -> Speaker:
    """Return one client's way of writing in `language`."""
    return Speaker(
        language=language,
        voice=rng.choices(VOICES, _VOICE_WEIGHTS)[0],
        typo_rate=rng.choice((0.0, 0.0, 0.01, 0.02, 0.05)),
        emoji_rate=rng.choice((0.0, 0.0, 0.0, 0.1, 0.3)),
        drops_accents=rng.random() < 0.6,
        shouts=rng.random() < 0.02,
    )
