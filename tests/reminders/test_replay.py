"""Replaying conversations: what comes out for each turn, and that it always does."""

from __future__ import annotations

import json
import sqlite3
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from clinic.models import Client
from programs.logic.assessment import Assessment
from reminders.logic.reply import Reply

pytestmark = pytest.mark.django_db
FOLDER = Path(__file__).parents[2] / "fixtures" / "replay"
FILES = sorted(FOLDER.glob("*.jsonl"))
PARTS = ["id", "turn", "reply", "assessment", "alerts", "sent"]
NINE = "2026-03-02T09:00:00-05:00"
TEN = "2026-03-02T10:00:00-05:00"


def replayed(path: Path) -> str:
    out = StringIO()
    call_command("replay", str(path), stdout=out)
    return out.getvalue()


@pytest.fixture(scope="module")
def results(
    django_db_setup: None, django_db_blocker: Any
) -> dict[str, list[dict[str, Any]]]:
    """Every fixture conversation's turns by id."""
    found: dict[str, list[dict[str, Any]]] = {}
    with django_db_blocker.unblock():
        for path in FILES:
            for line in replayed(path).splitlines():
                turn = json.loads(line)
                found.setdefault(turn["id"], []).append(turn)
    return found


def talk(tmp_path: Path, *turns: dict[str, Any], **changes: Any) -> Path:
    entry = {
        "id": "one",
        "language": "en",
        "time_zone": "America/New_York",
        "turns": list(turns),
    } | changes
    path = tmp_path / "talk.jsonl"
    path.write_text(json.dumps(entry) + "\n")
    return path


def reasons(turn: dict[str, Any]) -> list[str]:
    return [alert["reason"] for alert in turn["alerts"]]


def test_every_turn_has_one_line_with_the_same_parts(results: Any) -> None:
    for path in FILES:
        for line in path.read_text().splitlines():
            entry = json.loads(line)
            turns = results[entry["id"]]
            assert [turn["turn"] for turn in turns] == list(range(len(entry["turns"])))
            assert all(list(turn) == PARTS for turn in turns)


def test_reply_and_assessment_carry_every_field(results: Any) -> None:
    turn = results["en-good-course"][0]
    assert set(turn["reply"]) == set(Reply.__dataclass_fields__)
    assert set(turn["assessment"]) == set(Assessment.__dataclass_fields__)


def test_sets_are_sorted_lists_and_spans_are_pairs(results: Any) -> None:
    reply = results["en-emergency"][0]["reply"]
    assert reply["warnings"] == ["bladder_bowel", "saddle_numbness"]
    assert all(len(span) == 2 for span in reply["evidence"].values())


@pytest.mark.parametrize("language", ["en", "es", "fr"])
def test_a_good_course_raises_nothing(results: Any, language: str) -> None:
    turns = results[f"{language}-good-course"]
    assert [reasons(turn) for turn in turns] == [[]] * len(turns)
    assert turns[-1]["assessment"]["location_trend"] == "centralizing"


def test_worsening_is_raised_by_its_own_turn(results: Any) -> None:
    first, second, _ = results["en-worsening"]
    assert reasons(first) == []
    assert second["alerts"][0] == {"urgency": "same_day", "reason": "spreading"}


def test_an_unanswered_safety_question_is_raised_by_the_clock(results: Any) -> None:
    later = results["en-worsening"][2]
    assert later["reply"] is None
    assert reasons(later) == ["safety_unanswered"]
    assert all("Press-up" not in body for body in later["sent"])


@pytest.mark.parametrize(
    ("name", "word"), [("en-emergency", "emergency"), ("es-emergency", "emergencia")]
)
def test_an_emergency_is_answered_with_safety_words_at_once(
    results: Any, name: str, word: str
) -> None:
    turn = results[name][0]
    assert {alert["urgency"] for alert in turn["alerts"]} == {"emergency"}
    assert word in turn["sent"][-1]
    assert "911" in turn["sent"][-1]


@pytest.mark.parametrize("language", ["en", "es", "fr"])
def test_nothing_is_sent_after_an_opt_out(results: Any, language: str) -> None:
    *_, stop, after = results[f"{language}-opt-out"]
    assert reasons(stop) == ["opted_out"]
    assert after["sent"] == []


def test_silence_climbs_its_steps_by_the_clock_alone(results: Any) -> None:
    turns = results["en-silence"][1:]
    assert [reasons(turn) for turn in turns] == [
        [],
        ["silent"],
        ["silent"],
        ["silent_week"],
        ["not_monitored"],
    ]
    nudged = [body for body in turns[0]["sent"] if "since yesterday" in body]
    assert len(nudged) == 1


def test_a_turn_can_say_which_question_it_answers(results: Any) -> None:
    rated, unasked = results["en-asked"]
    assert rated["reply"]["pain"] == 4
    assert unasked["reply"]["pain"] is None


def test_a_question_asked_back_is_the_one_that_is_answered(tmp_path: Path) -> None:
    later = "2026-03-02T10:05:00-05:00"
    path = talk(tmp_path, {"at": TEN, "text": "ok"}, {"at": later, "text": "6"})
    first, second = map(json.loads, replayed(path).splitlines())
    assert first["reply"]["pain"] is None
    assert second["reply"]["pain"] == 6


def test_the_same_file_gives_the_same_bytes(tmp_path: Path) -> None:
    path = FOLDER / "french.jsonl"
    assert replayed(path) == replayed(path)


def test_conversations_do_not_touch_each_other(results: Any, tmp_path: Path) -> None:
    lines = (FOLDER / "english.jsonl").read_text().splitlines()
    alone = tmp_path / "alone.jsonl"
    alone.write_text(lines[1] + "\n")
    turns = [json.loads(line) for line in replayed(alone).splitlines()]
    assert turns == results["en-worsening"]


def test_explain_adds_the_stages_of_each_text(tmp_path: Path) -> None:
    turns = [
        {"at": "2026-03-02T10:00:00-05:00", "text": "done, no numbness, 4"},
        {"at": "2026-03-02T11:00:00-05:00", "text": None},
    ]
    line = {"id": "x", "language": "en", "time_zone": "America/New_York"}
    path = tmp_path / "talk.jsonl"
    path.write_text(json.dumps(line | {"turns": turns}) + "\n", encoding="utf-8")
    out = StringIO()
    call_command("replay", str(path), explain=True, stdout=out)
    said, silent = [json.loads(each) for each in out.getvalue().splitlines()]
    assert "numbness" in said["stages"]["readings"][0]["scopes"]["denied"]
    assert said["stages"]["tokens"][-1] == "4"
    assert silent["stages"] is None


def test_nothing_reaches_the_configured_database() -> None:
    replayed(FOLDER / "french.jsonl")
    assert Client.objects.across("the test looks at all of it").count() == 0


def test_keep_leaves_one_database_a_conversation(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.mkdtemp", lambda prefix: str(tmp_path))
    call_command("replay", str(FOLDER / "french.jsonl"), keep=True, stdout=StringIO())
    kept = sorted(tmp_path.glob("*.sqlite3"))
    assert len(kept) == 3
    with sqlite3.connect(kept[0]) as database:
        count = database.execute("select count(*) from reminders_inbound").fetchone()
    database.close()
    assert count == (4,)  # the answer to the first text, and three turns


BAD = [
    ("not json", "this is not JSON"),
    ("[1]", "write an object"),
    ('{"turns": []}', '"id"'),
]
BAD_CHANGES: list[tuple[dict[str, Any], str]] = [
    ({"time_zone": "Mars/Olympus"}, '"time_zone"'),
    ({"language": "de"}, '"language"'),
    ({"id": ""}, '"id"'),
    ({"turns": []}, '"turns"'),
    ({"turns": ["x"]}, "turn 0"),
    ({"turns": [{"at": TEN}]}, "turn 0"),
    ({"turns": [{"at": "soon", "text": "4"}]}, '"at"'),
    ({"turns": [{"at": TEN, "text": 4}]}, '"text"'),
    ({"turns": [{"at": TEN, "text": "4", "asked": "mood"}]}, '"asked"'),
    ({"turns": [{"at": "0001-01-01T00:00", "text": "4"}]}, '"at"'),
    ({"turns": [{"at": TEN, "text": "4"}, {"at": NINE, "text": "4"}]}, "earlier"),
]


def refusal(path: Path, out: StringIO) -> CommandError:
    with pytest.raises(CommandError) as caught:
        call_command("replay", str(path), stdout=out)
    return caught.value


@pytest.mark.parametrize(("line", "says"), BAD)
def test_a_bad_line_is_named_and_nothing_of_it_is_printed(
    tmp_path: Path, line: str, says: str
) -> None:
    path = talk(tmp_path, {"at": TEN, "text": "4"})
    path.write_text(path.read_text() + line + "\n")
    out = StringIO()
    error = refusal(path, out)
    assert error.returncode == 2
    assert "line 2" in str(error)
    assert says in str(error)
    assert len(out.getvalue().splitlines()) == 1


@pytest.mark.parametrize(("changes", "says"), BAD_CHANGES)
def test_each_bad_value_is_named(
    tmp_path: Path, changes: dict[str, Any], says: str
) -> None:
    out = StringIO()
    error = refusal(talk(tmp_path, **changes), out)
    assert says in str(error)
    assert out.getvalue() == ""


def test_an_id_stands_once(tmp_path: Path) -> None:
    path = talk(tmp_path, {"at": TEN, "text": "4"})
    path.write_text(path.read_text() * 2)
    assert "line 2: the id stands on line 1" in str(refusal(path, StringIO()))


def test_a_missing_file_is_said_plainly(tmp_path: Path) -> None:
    error = refusal(tmp_path / "none.jsonl", StringIO())
    assert error.returncode == 2


@pytest.mark.parametrize("text", ["\ud83d", "a\x00b", "x" * 10_000, "", "\u202e4"])
def test_any_text_is_taken(tmp_path: Path, text: str) -> None:
    out = replayed(talk(tmp_path, {"at": TEN, "text": text}))
    assert json.loads(out)["reply"] is not None
