"""A text in one language with everything the fact readers look at."""

from collections.abc import Sequence
from dataclasses import dataclass

from reminders.logic.reply.clauses import Clause, cut, marks_between
from reminders.logic.reply.lexicon import Lexicon, blended, languages, lexicon
from reminders.logic.reply.marks import Mark, find_all, find_marks
from reminders.logic.reply.repair import spelled
from reminders.logic.reply.result import Span
from reminders.logic.reply.scopes import Scopes, find_scopes
from reminders.logic.reply.tokens import Token


@dataclass(frozen=True, slots=True)
class Reading:
    """Tokens, marks, clauses and scopes of one text; `asked` as in parse_reply.

    `marks` are the longest phrases, `nested` every phrase also inside those.
    """

    words: Lexicon
    tokens: tuple[Token, ...]
    marks: tuple[Mark, ...]
    nested: tuple[Mark, ...]
    clauses: tuple[Clause, ...]
    scopes: Scopes
    asked: str | None

    def between(self, start: int, end: int) -> Sequence[Mark]:
        """Marks that begin at tokens `start` up to `end`."""
        return marks_between(self.marks, start, end)

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
    marks = find_marks(mended, words)
    clauses = cut(mended, marks)
    nested = find_all(mended, words)
    scopes = find_scopes(mended, marks, clauses, nested=nested)
    return Reading(
        words=words,
        tokens=mended,
        marks=tuple(marks),
        nested=tuple(nested),
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
    """The main reading first, then one in each other language."""
    main = language_of(tokens, guess)
    others = [each for each in languages() if each != main]
    first = read(tokens, blended(main), asked)
    return (first, *(read(tokens, lexicon(each), asked) for each in others))
