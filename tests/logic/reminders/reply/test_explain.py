"""The stages of a reading, told."""

import json

from hypothesis import given
from hypothesis import strategies as st

from reminders.logic.reply import parse_reply
from reminders.logic.reply.explain import explain
from reminders.logic.reply.storage import to_json


def test_every_stage_of_a_reply_is_told() -> None:
    told = explain("Done, pian 6 but NO tingling in foot")
    reading = told["readings"][0]
    assert told["folded"].startswith("done, pian 6")
    assert reading["language"] == "en"
    assert ["tinglng", "tingling"] in explain("tinglng in foot")["readings"][0][
        "mended"
    ]
    assert ["6", "plain"] in reading["numbers"]
    assert ["foot", ["area.foot"]] in [
        [words, [c for c in concepts if c.startswith("area")]]
        for words, concepts in reading["phrases"]
    ]
    assert len(reading["clauses"]) == 2
    assert "tingling" in reading["scopes"]["denied"]
    assert told["reply"]["pain"] == 6


def test_a_silenced_sign_is_told_with_what_silenced_it() -> None:
    reading = explain("no trouble peeing")["readings"][0]
    signs = {each["kind"]: each["silenced_by"] for each in reading["signs"]}
    assert signs["bladder_bowel"] == ["denied"]


def test_a_sign_in_another_language_has_its_own_reading() -> None:
    told = explain("done 3, no puedo orinar desde ayer", language="en")
    kinds = {sign["kind"] for each in told["readings"] for sign in each["signs"]}
    assert "bladder_bowel" in kinds


@given(st.text(max_size=80))
def test_any_text_is_explained_as_it_is_read(text: str) -> None:
    told = explain(text)
    assert told["reply"] == to_json(parse_reply(text))
    json.dumps(told)
