"""A text in one language with everything the fact readers look at."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache

from reminders.logic.reply.clauses import Clause, Placed, cut
from reminders.logic.reply.lexicon import Lexicon, blended, languages, lexicon
from reminders.logic.reply.marks import Mark, bits_in, find_marks
from reminders.logic.reply.network import bits_of, kind_of
from reminders.logic.reply.repair import mended, spelled
from reminders.logic.reply.result import Span
from reminders.logic.reply.scopes import Scopes, find_scopes
from reminders.logic.reply.signs import Found, all_signs
from reminders.logic.reply.tokens import Token

# A text of so many tokens is read whole in each language; around a word of another
# language so many on both sides are.
_SHORT, _AROUND = 60, 20


@dataclass(frozen=True)
class Reading:
    """Tokens, marks, clauses and scopes of one text; `asked` as in parse_reply.

    `marks` are the longest phrases, `nested` every phrase also inside those.
    """

    words: Lexicon
    tokens: tuple[Token, ...]
    marks: Placed[Mark]
    nested: Placed[Mark]
    clauses: tuple[Clause, ...]
    scopes: Scopes
    asked: str | None

    @cached_property
    def signs(self) -> tuple[Found, ...]:
        """Every sign in every clause, silenced ones left out."""
        return tuple(all_signs(self))

    @cached_property
    def alarms(self) -> dict[int, int]:
        """Tokens of clauses in which a sign alarms -> where the clause begins."""
        clauses = (f.clause for f in self.signs if f.sign.yields == "warn")
        spans = {(clause.start, clause.end) for clause in clauses}
        return {at: start for start, end in spans for at in range(start, end)}

    @cached_property
    def bits(self) -> int:
        """Every name that stands anywhere in it, as `bits_of` them."""
        return bits_in(self.nested) | bits_in(self.marks)

    def between(self, start: int, end: int) -> Sequence[Mark]:
        """Marks that begin at tokens `start` up to `end`."""
        return self.marks.between(start, end)

    def span(self, start: int, end: int) -> Span:
        """Characters of the original that tokens `start` up to `end` cover."""
        return (self.tokens[start].start, self.tokens[end - 1].end)

    def stated(self, mark: Mark) -> bool:
        """Said of the client, now, as a fact: neither denied nor imagined."""
        at = mark.start
        return self.scopes.negator[at] < 0 and self.real(mark)

    def real(self, mark: Mark) -> bool:
        """Said of the client, now, as a fact or as its denial."""
        at = mark.start
        scopes = self.scopes
        return not (scopes.past[at] or scopes.imagined[at] or scopes.other[at])


def read(tokens: tuple[Token, ...], words: Lexicon, asked: str | None) -> Reading:
    """Run the stages from spelling to scopes in one language."""
    mended = spelled(tokens, words)
    found, every = find_marks(mended, words)
    marks, nested = Placed(found), Placed(every)
    clauses = cut(mended, marks)
    scopes = find_scopes(mended, marks, clauses, nested=nested)
    return Reading(
        words=words,
        tokens=mended,
        marks=marks,
        nested=nested,
        clauses=clauses,
        scopes=scopes,
        asked=asked,
    )


def language_of(tokens: tuple[Token, ...], guess: str) -> str:
    """The language most words belong to; the guess wins a tie."""
    written = {token.text for token in tokens if token.kind == "word"}

    def score(language: str) -> tuple[int, bool]:
        return (len(written & lexicon(language).words), language == guess)

    return max(languages(), key=score)


def readings(
    tokens: tuple[Token, ...], guess: str, asked: str | None
) -> tuple[Reading, ...]:
    """The main reading first, then one in each other language that could add to it.

    A language adds nothing where none of its own words is written: what the main
    language knows too, it has judged. Yes and no to the safety question are
    looked for in all.
    """
    main = language_of(tokens, guess)
    first = read(tokens, blended(main), asked)
    others = [
        read(part, lexicon(each), asked)
        for each in languages()
        if each != main
        for part in _parts_in(tokens, each, main, asked)
    ]
    return (first, *others)


def _parts_in(
    tokens: tuple[Token, ...], language: str, main: str, asked: str | None
) -> Iterator[tuple[Token, ...]]:
    """What of a text another language may add to: all of a short one.

    A short text is read where a word is the language's own, or where it may be
    nothing but a request in it. Of a long one only the surroundings of its words
    are read, wider than any scope.
    """
    written = [(at, token) for at, token in enumerate(tokens) if token.kind == "word"]
    own = [at for at, token in written if _adds(token.text, language, main)]
    if len(tokens) <= _SHORT:
        only_asks = all(_asks(token.text, language) for _, token in written)
        if own or only_asks or asked == "safety":
            yield tokens
    elif own:
        for low, high in _surroundings(own, len(tokens)):
            yield tokens[low:high]


def _surroundings(places: Sequence[int], count: int) -> list[tuple[int, int]]:
    out: list[tuple[int, int]] = []
    for at in places:
        low, high = max(0, at - _AROUND), min(count, at + _AROUND + 1)
        if out and low <= out[-1][1]:
            out[-1] = (out[-1][0], high)
        else:
            out.append((low, high))
    return out


@lru_cache(maxsize=8192)
def _adds(word: str, language: str, main: str) -> bool:
    """Whether it is, or is a slip of, a word that only the other language has."""
    telling = _telling_words(language)
    ours = blended(main)
    if word in telling:
        return word not in lexicon(main).words
    if word in ours.words or mended(word, ours) in ours.words:
        return False
    return mended(word, lexicon(language)) in telling


@lru_cache(maxsize=8192)
def _asks(word: str, language: str) -> bool:
    """Whether it is, or is a slip of, a word requests are made of."""
    asking = _asking_words(language)
    return word in asking or mended(word, lexicon(language)) in asking


@cache
def _telling_words(language: str) -> frozenset[str]:
    """Words signs and requests are made of, and those spelled to become one."""
    words = lexicon(language)
    bits = 0
    for sign in words.signs:
        for part in sign.parts:
            bits |= part
    told = _words_of(words, bits) | _asking_words(language)
    spelled_so = {k for k, v in words.spellings.items() if not told.isdisjoint(v)}
    return told | spelled_so


@cache
def _asking_words(language: str) -> frozenset[str]:
    """Words of requests and of yes and no, whichever language has them too."""
    return _words_of(lexicon(language), bits_of(("keyword", "answer.yes")))


def _words_of(words: Lexicon, bits: int) -> frozenset[str]:
    return frozenset(
        word
        for pattern in words.patterns
        if kind_of((pattern.concept,)).bits & bits
        for word in pattern.words()
    )
