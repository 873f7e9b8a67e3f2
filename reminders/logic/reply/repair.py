"""Misspelled words mended: one slip, words of five letters or more, never numbers.

A word any language knows is left alone, and so is one that two different known
words are equally near to: a wrong guess about left or right, better or worse,
numb or number costs more than an unread word. What only signs know is mended but
by a swap or a letter too many or too few: "smiling" is no slip of "soiling".
"""

from collections.abc import Iterator
from functools import cache, lru_cache

from reminders.logic.reply.lexicon import Lexicon, blended, languages, lexicon
from reminders.logic.reply.tokens import Token

_SHORTEST = 5
_SHORTEST_IN_SIGNS = 6
_LONGEST = 24
_SHARED_BY_OPPOSITES = frozenset({"limb.word", "filler.word", "filler.it"})
# Four-letter words count as neighbors, so that "numbr" is between numb and number.
_NEAREST = 4


def spelled(tokens: tuple[Token, ...], words: Lexicon) -> tuple[Token, ...]:
    """The tokens as this language spells them; spans stay those of the original."""
    out: list[Token] = []
    known, spellings = words.words, words.spellings
    skip = False
    for at, token in enumerate(tokens):
        if skip:
            skip = False
            continue
        joined = _joined(token, tokens[at + 1 : at + 2], words)
        if joined:
            out.extend(joined)
            skip = True
        elif token.kind != "word":
            out.append(token)
        elif token.text in spellings:
            out.extend(token._replace(text=word) for word in spellings[token.text])
        elif token.text in known:
            out.append(token)
        else:
            word = _mended(token.text, words.language, words.blended)
            out.append(token._replace(text=word))
    return tuple(out)


def _joined(first: Token, after: tuple[Token, ...], words: Lexicon) -> list[Token]:
    """ "gr8" and "b4" arrive as two glued tokens and are one word."""
    if not after or not after[0].glued:
        return []
    meant = words.spellings.get(first.text + after[0].text, ())
    return [Token(word, first.start, after[0].end, "word") for word in meant]


@lru_cache(maxsize=4096)
def _mended(word: str, language: str, is_blended: bool) -> str:
    return mended(word, blended(language) if is_blended else lexicon(language))


def mended(word: str, words: Lexicon) -> str:
    """The known word meant by a misspelled one, or the word as it stands."""
    if word in words.words or len(word) > _LONGEST:
        return word
    shorter = _unstretched(word, words)
    if shorter in words.words:
        return shorter
    if len(word) < _SHORTEST or word in _all_words():
        return word
    near = {
        n for d in _shortened(word) for n in _by_shortened(words.language).get(d, ())
    }
    swapped = {each for each in near if _is_swap(word, each)}
    near = swapped or {each for each in near if _one_slip(word, each)}
    meant = _agreed(near, words)
    return meant if meant and _may_mean(word, meant, words.language) else word


def _may_mean(word: str, each: str, language: str) -> bool:
    """Whether a slip may be read as a word that can raise an alarm by itself."""
    if each not in _only_in_signs(language):
        return True
    if min(len(word), len(each)) < _SHORTEST_IN_SIGNS:
        return False
    return len(word) != len(each) or _is_swap(word, each)


@cache
def _only_in_signs(language: str) -> frozenset[str]:
    """Words of signs that stand in no phrase facts are read from."""
    patterns = lexicon(language).patterns
    signs = {word for each in patterns if not each.fact for word in each.words()}
    facts = {word for each in patterns if each.fact for word in each.words()}
    return frozenset(signs - facts)


def _agreed(near: set[str], words: Lexicon) -> str:
    """The one candidate; of several the one that says most, if all share a meaning."""
    meanings = {each: frozenset(words.meanings(each) or (each,)) for each in near}
    shared = frozenset.intersection(*meanings.values()) if meanings else frozenset()
    if not shared - _SHARED_BY_OPPOSITES:
        return ""
    return max(sorted(near), key=lambda each: len(meanings[each]))


def _unstretched(word: str, words: Lexicon) -> str:
    """ "soooo" as "so", "betterrr" as "better"."""
    for most in (2, 1):
        tried = _at_most(word, most)
        if tried in words.words:
            return tried
    return word


def _at_most(word: str, most: int) -> str:
    """Runs of three or more of one letter cut to `most`."""
    out: list[str] = []
    at = 0
    while at < len(word):
        end = at
        while end < len(word) and word[end] == word[at]:
            end += 1
        out.append(word[at] * (most if end - at > 2 else end - at))
        at = end
    return "".join(out)


@cache
def _all_words() -> frozenset[str]:
    every = (lexicon(each).words for each in languages())
    return frozenset(word for words in every for word in words)


@cache
def _by_shortened(language: str) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for word in sorted(lexicon(language).words):
        if _NEAREST <= len(word) <= _LONGEST and word.isalpha():
            for each in set(_shortened(word)):
                found[each] = (*found.get(each, ()), word)
    return found


def _shortened(word: str) -> Iterator[str]:
    """The word and each form of it with one letter missing."""
    yield word
    for at in range(len(word)):
        yield word[:at] + word[at + 1 :]


def _is_swap(a: str, b: str) -> bool:
    """Two neighbors swapped, the commonest slip of a thumb: "wrose"."""
    return len(a) == len(b) and sorted(a) == sorted(b) and _one_slip(a, b)


def _one_slip(a: str, b: str) -> bool:
    """One letter wrong, missing, too many, or two neighbors swapped."""
    at = 0
    while at < min(len(a), len(b)) and a[at] == b[at]:
        at += 1
    left, right = a[at:], b[at:]
    if len(left) == len(right):
        swapped = left[:2] == right[:2][::-1] and left[2:] == right[2:]
        return swapped or left[1:] == right[1:]
    return left[1:] == right or left == right[1:]
