"""The replies every other part of the service is built around."""

import pytest

from reminders.logic.reply import parse_reply


def test_a_good_session_is_read_whole() -> None:
    reply = parse_reply("done, pain 3/10, leg better")
    assert (reply.completion, reply.pain) == ("done", 3)
    assert dict(reply.areas) == {"leg": "better"}
    assert not reply.warnings


def test_a_spreading_session_names_where_it_went() -> None:
    reply = parse_reply("worse today 7, now down to my calf and foot tingles")
    assert (reply.overall, reply.pain, reply.shift) == ("worse", 7, "down_leg")
    assert reply.areas["lower_leg"] in ("present", "new")
    assert reply.sensation["foot"] == "tingling"


def test_the_emergency_is_an_emergency() -> None:
    reply = parse_reply("numb between my legs and cant pee")
    assert {"saddle_numbness", "bladder_bowel"} <= reply.warnings
    assert reply.needs_human


@pytest.mark.parametrize("word", ["NEW", "NUEVO", "NOUVEAU", "yes", "si", "oui"])
def test_affirming_the_safety_question_affirms_all_it_asked(word: str) -> None:
    reply = parse_reply(word, asked="safety")
    assert reply.warnings == {"bladder_bowel", "saddle_numbness", "leg_weakness"}
    assert reply.needs_human
    assert reply.evidence["warnings.bladder_bowel"] == (0, len(word))


@pytest.mark.parametrize("word", ["NONE", "NADA", "RIEN", "no", "non"])
def test_denying_the_safety_question_needs_nobody(word: str) -> None:
    reply = parse_reply(word, asked="safety")
    assert not reply.warnings
    assert not reply.needs_human
    assert reply.pain is None
