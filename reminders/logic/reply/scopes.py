"""What holds over each token: denied, long past, only imagined, someone else's.

Negation follows NegEx (Chapman et al. 2001): cues reach forward until a closing
word, trailing cues reach back five words, pseudo-negations are no cues at all.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from sys import maxsize

from reminders.logic.reply.clauses import Clause, Placed, Range
from reminders.logic.reply.marks import Mark, bits_in
from reminders.logic.reply.network import bits_of
from reminders.logic.reply.tokens import Token

_FORWARD = 9
_BACK = 5
_YEARS = (1940, 2025)
_NOT_IN_A_LIST = bits_of(
    (
        "verb",
        "change",
        "state",
        "move",
        "neg.pre",
        "done",
        "time.now",
        "scope.end",
        "scope.turn",
        "symptom.sore",
        "symptom.numb",
        "symptom.weak",
    )
)
_SAYING = bits_of(
    ("symptom", "area", "change", "state", "urine", "stool", "saddle", "done")
)
_NOUNS = bits_of(
    ("symptom.pain", "symptom.numbness", "symptom.tingling", "symptom.weakness")
)
_ASKED_FOR = bits_of(("done", "exercise"))
_DENYING = bits_of(("neg.pre",))
_DENYING_BACK = bits_of(("neg.post", "neg.none", "answer.no"))
_LONG_AGO, _NOW = bits_of(("time.long_ago",)), bits_of(("time.now", "onset"))
_IMAGINING = bits_of(("scope.suppose", "scope.if", "scope.when"))
_ASKING = bits_of(("scope.modal", "question"))
_OTHERS = bits_of(("who.other",))
_PREDICATES = bits_of(
    ("symptom.sore", "symptom.numb", "symptom.weak", "change", "state")
)


@dataclass(frozen=True, slots=True)
class Scopes:
    """One entry a token. `negator` is the token its denial starts at, or -1."""

    negator: tuple[int, ...]
    past: tuple[bool, ...]
    imagined: tuple[bool, ...]
    other: tuple[bool, ...]


def find_scopes(
    tokens: Sequence[Token],
    marks: Placed[Mark],
    clauses: Sequence[Clause],
    *,
    nested: Placed[Mark],
) -> Scopes:
    """Scopes of every token; signs and unread words have them too."""
    count = len(tokens)
    negator = [-1] * count
    past, imagined, other = [False] * count, [False] * count, [False] * count
    said = bits_in(marks)
    content: frozenset[int] = frozenset()
    if said & _DENYING:
        content = frozenset(mark.start for mark in nested if _says(mark))
    years = any(_is_year(token) for token in tokens)
    for clause in clauses:
        inside = marks.between(clause.start, clause.end)
        here = bits_in(inside)
        if here & _DENYING:
            _negate(negator, tokens, marks, clause=clause, content=content)
        if here & _DENYING_BACK:
            _negate_back(negator, inside, clause, tokens)
        if years or here & _LONG_AGO:
            _mark_past(past, tokens, marks, clause)
        if here & _IMAGINING:
            _mark_imagined(imagined, inside, clause)
    if said & _OTHERS:
        _mark_other(other, tokens, marks, clauses)
    return Scopes(tuple(negator), tuple(past), tuple(imagined), tuple(other))


def _negate(
    negator: list[int],
    tokens: Sequence[Token],
    marks: Placed[Mark],
    *,
    clause: Clause,
    content: frozenset[int],
) -> None:
    starts = {m.start: m for m in marks.between(clause.start, clause.end)}
    edges = {segment[0]: segment for segment in clause.segments[1:]}
    cue, left, noun, said, area = -1, 0, False, False, -1
    joined = anded = False
    for at in range(clause.start, clause.end):
        mark = starts.get(at)
        if at in edges and not (noun and _is_list(tokens, marks, edges[at])):
            cue = -1
        if mark and mark.is_a("neg.pre") and not _is_answer(tokens, marks, mark):
            cue, left = at, _FORWARD + mark.end - mark.start
            noun, said, area = False, False, -1
        elif mark and (mark.is_a("scope.end") or (said and mark.is_a("scope.turn"))):
            cue = -1
        elif mark and said and mark.is_a("scope.owner") and not joined:
            cue = -1  # "no pain my leg drags": the denial ended before "my"
        elif mark and cue >= 0 and noun and _predicate(mark):
            # "no pain in leg back sore": the denial ended before "back".
            _undo(negator, area, at)
            cue = -1
        elif mark and anded and mark.is_a("scope.subject"):
            cue = -1  # "isn't there and it folds"
        if mark:
            joined, anded = mark.is_a("scope.joint"), mark.is_a("scope.and")
        if mark and mark.is_a("area"):
            area = at
        noun = noun or bool(mark and cue >= 0 and _noun(mark))
        said = said or (at > cue >= 0 and at in content)
        left -= 1
        cue = cue if left > 0 else -1
        negator[at] = cue if cue != at else -1


def _undo(negator: list[int], area: int, until: int) -> None:
    for at in range(area, until) if area >= 0 else ():
        negator[at] = -1


def _says(mark: Mark) -> bool:
    return mark.is_any(_SAYING)


def _noun(mark: Mark) -> bool:
    return mark.is_any(_NOUNS)


def _predicate(mark: Mark) -> bool:
    return mark.is_any(_PREDICATES)


def _is_list(tokens: Sequence[Token], marks: Placed[Mark], segment: Range) -> bool:
    """A denial crosses a comma only into a bare list: "no pain, numbness"."""
    inside = marks.between(*segment)
    names = any(_noun(mark) or mark.is_a("area") for mark in inside)
    told = any(mark.is_any(_NOT_IN_A_LIST) for mark in inside)
    rated = any(tokens[at].kind == "number" for at in range(*segment))
    return names and not told and not rated and segment[1] - segment[0] <= 5


def _is_answer(tokens: Sequence[Token], marks: Placed[Mark], mark: Mark) -> bool:
    """ "No it got worse" and "no, numb": the no answers, it denies nothing."""
    if not mark.is_a("answer.no"):
        return False
    if mark.end >= len(tokens) or tokens[mark.end].kind != "word":
        return True
    first = mark.start == 0 or tokens[mark.start - 1].kind == "sign"
    after = marks.between(mark.end, mark.end + 1)
    return first and any(m.is_a("answer.subject") for m in after)


def _negate_back(
    negator: list[int],
    inside: Sequence[Mark],
    clause: Clause,
    tokens: Sequence[Token],
) -> None:
    for mark in inside:
        if not (mark.is_a("neg.post") or _closes(mark, clause)):
            continue
        start = max(clause.start, mark.start - _BACK)
        start = max(start, _segment_start(clause, mark))
        numbers = (k for k in range(start, mark.start) if tokens[k].kind == "number")
        for at in range(max(numbers, default=start - 1) + 1, mark.start):
            negator[at] = mark.start if negator[at] < 0 else negator[at]


def _closes(mark: Mark, clause: Clause) -> bool:
    """ "numbness? no", "tingling none": a no that ends its segment denies it."""
    if not (mark.is_a("answer.no") or mark.is_a("neg.none")):
        return False
    at = bisect_right(clause.segments, (mark.start, maxsize)) - 1
    return at >= 0 and clause.segments[at][1] == mark.end


def _segment_start(clause: Clause, mark: Mark) -> int:
    at = bisect_right(clause.segments, (mark.start, maxsize)) - 1
    return clause.segments[at][0] if at >= 0 else clause.start


def _mark_past(
    past: list[bool], tokens: Sequence[Token], marks: Placed[Mark], clause: Clause
) -> None:
    for start, end in clause.segments:
        said = bits_in(marks.between(start, end))
        if said & _NOW:
            continue
        if said & _LONG_AGO or _names_a_year(tokens, marks, start, end):
            past[start:end] = [True] * (end - start)


def _names_a_year(
    tokens: Sequence[Token], marks: Placed[Mark], start: int, end: int
) -> bool:
    """ "in 2016" and "since 1988", but no "2000 steps"."""
    for at in range(start + 1, end):
        if not _is_year(tokens[at]) or tokens[at - 1].kind != "word":
            continue
        if not any(m.is_a("unit") for m in marks.between(at + 1, at + 2)):
            return True
    return False


def _is_year(token: Token) -> bool:
    return token.value is not None and _YEARS[0] <= token.value <= _YEARS[1]


def _mark_imagined(
    imagined: list[bool],
    inside: Sequence[Mark],
    clause: Clause,
) -> None:
    advice = any(m.is_a("scope.advice") for m in inside)
    modal = clause.asks or advice or any(m.is_any(_ASKING) for m in inside)
    for mark in inside:
        supposed = mark.is_a("scope.suppose")
        if (
            supposed
            or (modal and mark.is_a("scope.if"))
            or (advice and mark.is_a("scope.when"))
        ):
            reasons = (m.start for m in inside if m.is_a("scope.reason"))
            end = next((at for at in reasons if at > mark.start), clause.end)
            imagined[mark.start : end] = [True] * (end - mark.start)
            return


def _mark_other(
    other: list[bool],
    tokens: Sequence[Token],
    marks: Placed[Mark],
    clauses: Sequence[Clause],
) -> None:
    """The last person named before a word is the one it is about."""
    sentence, someone = -1, False
    for clause in clauses:
        someone = someone and clause.sentence == sentence
        sentence = clause.sentence
        starts = {m.start: m for m in marks.between(clause.start, clause.end)}
        own = {
            low for low, high in clause.segments if _reports(tokens, marks, low, high)
        }
        for at in range(clause.start, clause.end):
            mark = starts.get(at)
            someone = someone and at not in own
            if mark and mark.is_a("who.other"):
                someone = True
            elif mark and mark.is_a("who.self"):
                someone = False
            other[at] = someone


def _reports(tokens: Sequence[Token], marks: Placed[Mark], low: int, high: int) -> bool:
    """ "my kids wear me out, 3 tonight": what the reminder asked is the client's."""
    inside = marks.between(low, high)
    if any(mark.is_a("who") for mark in inside):
        return False
    told = any(mark.is_any(_ASKED_FOR) for mark in inside)
    return told or (low < high and tokens[low].kind == "number")
