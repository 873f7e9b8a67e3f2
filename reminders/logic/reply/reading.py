"""A text in one language with everything the fact readers look at."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache

from reminders.logic.reply.clauses import Clause, Placed, cut
from reminders.logic.reply.lexicon import Lexicon, blended, languages, lexicon
from reminders.logic.reply.marks import Mark, find_marks
from reminders.logic.reply.repair import mended, spelled
from reminders.logic.reply.result import Span
from reminders.logic.reply.scopes import Scopes, find_scopes
from reminders.logic.reply.signs import Found, all_signs
from reminders.logic.reply.tokens import Token


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
    written = {token.text for token in tokens if token.kind != "sign"}
    others = [
        each
        for each in languages()
        if each != main and (asked == "safety" or _adds(written, each, main))
    ]
    return (first, *(read(tokens, lexicon(each), asked) for each in others))


def _adds(written: set[str], language: str, main: str) -> bool:
    if not written.isdisjoint(_own_words(language, main)):
        return True
    unread = written - lexicon(main).words
    return any(_is_word_of(word, language) for word in unread)


@cache
def _own_words(language: str, main: str) -> frozenset[str]:
    """Words and spellings the main language has not, and all words of requests."""
    words = lexicon(language)
    own = (words.words | set(words.spellings)) - lexicon(main).words
    asking = {
        word
        for phrase, concepts in words.every_phrase.items()
        if any(each.startswith("keyword.") for each in concepts)
        for word in phrase
    }
    return frozenset(own | asking)


@lru_cache(maxsize=4096)
def _is_word_of(word: str, language: str) -> bool:
    """Whether a word no language knows is a slip of one that this language has."""
    words = lexicon(language)
    return mended(word, words) in words.words
