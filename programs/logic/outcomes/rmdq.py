"""Roland-Morris disability, 24 statements: the number of those ticked.

Its authors ask for no permission when it is used as printed (Roland & Fairbank 2000);
translations have owners of their own, so the statements stand here in English alone
and in another language only a total counted from paper is taken. There are no yes/no
boxes: what is left blank, or does not apply, counts 0. Error: MDC90 up to 5 points
for starts from 4 to 20 (Stratford 1996); where the scale leaves less room than that, a
change cannot be shown. Useful: 5 points or 30 % (Ostelo 2008). Recovered: 2 or less
(Kamper 2010).
"""

from __future__ import annotations

from typing import Final

from programs.logic.outcomes.values import (
    AnswerError,
    Answers,
    Bounds,
    Change,
    Measure,
    Score,
    Taken,
    between,
    by_share,
    only,
    whole,
)

MDC, MIC, RECOVERED = 5, 5, 2
INTRO: Final = (
    "When your back hurts, you may find it difficult to do some of the things you"
    " normally do. This list has sentences that people have used to describe"
    " themselves when they have back pain. Think of yourself today. When a sentence"
    " describes you today, put a tick against it. If it does not, leave it blank. Tick"
    " a sentence only if you are sure it describes you today."
)
NONE: Final = "None of these sentences describes me today"
ITEMS: Final = (
    "I stay at home most of the time because of my back.",
    "I change position frequently to try and get my back comfortable.",
    "I walk more slowly than usual because of my back.",
    "Because of my back I am not doing any of the jobs that I usually do around the"
    " house.",
    "Because of my back, I use a handrail to get upstairs.",
    "Because of my back, I lie down to rest more often.",
    "Because of my back, I have to hold on to something to get out of an easy chair.",
    "Because of my back, I try to get other people to do things for me.",
    "I get dressed more slowly than usual because of my back.",
    "I only stand for short periods of time because of my back.",
    "Because of my back, I try not to bend or kneel down.",
    "I find it difficult to get out of a chair because of my back.",
    "My back is painful almost all the time.",
    "I find it difficult to turn over in bed because of my back.",
    "My appetite is not very good because of my back pain.",
    "I have trouble putting on my socks (or stockings) because of the pain in my back.",
    "I only walk short distances because of my back.",
    "I sleep less well because of my back.",
    "Because of my back pain, I get dressed with help from someone else.",
    "I sit down for most of the day because of my back.",
    "I avoid heavy jobs around the house because of my back.",
    "Because of my back pain, I am more irritable and bad tempered with people than"
    " usual.",
    "Because of my back, I go upstairs more slowly than usual.",
    "I stay in bed most of the time because of my back.",
)
MOST: Final = len(ITEMS)


def score(answers: Answers) -> Score:
    """The count of ticked statements (`ticked`: numbers from 1), or a typed `total`.

    Nothing ticked is a score of 0 only when `none` says so: an empty page sent by
    mistake would look like a recovery.
    """
    if "total" in answers:
        only(answers, "total")
        return Score(whole(answers, "total", 0, MOST))
    only(answers, "ticked", "none")
    ticked = _ticked(answers)
    none = answers.get("none") is True
    if ticked and none:
        raise AnswerError("Tick sentences, or that none describes you.", "none")
    if not ticked and not none:
        raise AnswerError("Tick sentences, or that none describes you.", "ticked")
    return Score(len(ticked))


def change(first: Taken, now: Taken) -> Change:
    """Better when lower; see the module for both bounds."""
    difference = now.value - first.value
    useful = abs(difference) >= MIC or by_share(first.value, difference)
    room = first.value if difference < 0 else MOST - first.value
    rule = "5 points, the error at starts from 4 to 20; Stratford 1996"
    if room < MDC:
        rule = (
            f"from {first.value:g} the scale leaves less room than its error of 5, so a"
            " change cannot be shown; Stratford 1996"
        )
    bounds = Bounds(
        abs(difference) >= MDC, useful, rule, "5 points or 30 %; Ostelo 2008"
    )
    return between(first.value, now.value, bounds, lower_is_better=True)


def reads(taken: Taken) -> str:
    """Whether the score is that of people who call themselves recovered."""
    return "recovered" if taken.value <= RECOVERED else ""


def _ticked(answers: Answers) -> list[int]:
    found = answers.get("ticked", [])
    if not isinstance(found, list | tuple):
        raise AnswerError("Give the numbers of the ticked sentences.", "ticked")
    for one in found:
        if isinstance(one, bool) or not isinstance(one, int) or not 1 <= one <= MOST:
            raise AnswerError(f"Sentences are numbered 1 to {MOST}.", "ticked")
    return sorted(set(found))


RMDQ: Final = Measure(
    code="rmdq",
    name="Roland-Morris disability (RMDQ-24)",
    low=0,
    high=MOST,
    unit="of 24",
    by_link=("en",),
    source=(
        "Roland & Morris 1983, Spine 8:141-144; Stratford 1996, Ostelo 2008,"
        " Kamper 2010"
    ),
    score=score,
    change=change,
    reads=reads,
)
