"""API: the thread of texts, texting back, and the front desk's tasks."""

from __future__ import annotations

from typing import Any

import pytest

from clinic import scope
from reminders import desk as tasks
from tests.api import Api, problem
from tests.cast import NUMBER, SENDING, Cast
from tests.journeys.day import Day

SAID = "done, pain 3/10, leg better"
SYMPTOM_WORDS = (b"pain", b"leg", b"calf", b"reminder", b"answer", b"thanks", b"0-10")


@pytest.fixture
def heard(running: Day) -> Day:
    """A client who answered one reminder."""
    running.forward(hours=4)
    running.text(NUMBER, SENDING, SAID)
    return running


@pytest.fixture
def path(cast: Cast) -> str:
    return f"clients/{cast.client.id}/messages"


@pytest.fixture
def api(cast: Cast, heard: Day) -> Api:
    return Api(cast.clinician, heard.now)


def test_the_thread_runs_both_ways_newest_first(api: Api, path: str) -> None:
    found = api.get(path).json()["results"]
    assert [row["at"] for row in found] == sorted(
        (row["at"] for row in found), reverse=True
    )
    assert {row["direction"] for row in found} == {"in", "out"}
    (said,) = [row for row in found if row["body"] == SAID]
    assert (said["direction"], said["reply"]["pain"]) == ("in", 3)
    assert "pending" not in {row["state"] for row in found}


def test_the_thread_is_paged_without_a_gap(api: Api, path: str) -> None:
    whole = api.get(path).json()["results"]
    seen: list[Any] = []
    cursor = ""
    while cursor is not None:
        query = {"page_size": 2} | ({"cursor": cursor} if cursor else {})
        page = api.get(path, **query).json()
        seen += page["results"]
        cursor = page["next"]
    assert seen == whole
    for size in ("0", "101", "x"):
        problem(api.get(path, page_size=size), 400)


def test_the_front_desk_sees_that_texts_went_and_not_what_they_say(
    cast: Cast, heard: Day, api: Api, path: str
) -> None:
    heard.text(NUMBER, SENDING, "worse today 7, down to my calf")
    desk = Api(cast.desk, heard.now)
    found = desk.get(path)
    assert len(found.json()["results"]) == len(api.get(path).json()["results"])
    assert set(found.json()["results"][0]) == {
        "id",
        "direction",
        "at",
        "state",
        "author",
    }
    for word in SYMPTOM_WORDS:
        assert word not in found.content
    sent = desk.post(path, {"body": "Please call us back today."})
    assert set(sent.json()) == {"id", "direction", "at", "state", "author"}


def test_no_answer_to_the_front_desk_carries_a_symptom(
    cast: Cast, heard: Day, api: Api
) -> None:
    desk = Api(cast.desk, heard.now)
    about = f"clients/{cast.client.id}"
    for where in ("clients", about, f"{about}/consent", f"{about}/messages"):
        found = desk.get(where)
        assert found.status_code == 200
        assert SAID.encode() not in found.content
        assert b'"pain' not in found.content
    listed = desk.get("desk-tasks")
    assert SAID.encode() not in listed.content


def test_a_text_back_waits_in_the_thread_and_leaves(
    cast: Cast, heard: Day, api: Api, path: str
) -> None:
    made = api.post(path, {"body": "Please call us back today."})
    assert made.status_code == 201
    assert (made.json()["state"], made.json()["author"]["name"]) == (
        "pending",
        "Clinician",
    )
    assert api.get(path).json()["results"][0]["id"] == made.json()["id"]
    heard.work()
    assert heard.phones.to(NUMBER)[-1] == "Please call us back today."


def test_a_word_that_tells_too_much_needs_a_second_yes(api: Api, path: str) -> None:
    body = {"body": "How is the pain in your leg?"}
    seen = api.post(f"{path}/preview", body).json()
    assert seen["health_words"]
    assert (seen["encoding"], seen["parts"]) == ("GSM-7", 1)
    found = problem(api.post(path, body), 400)
    assert list(found["errors"]) == ["despite_health_words"]
    assert api.post(path, body | {"despite_health_words": True}).status_code == 201


def test_the_preview_names_the_signs_that_cost(api: Api, path: str) -> None:
    seen = api.post(f"{path}/preview", {"body": "Call us “today” 😀"}).json()
    assert seen["encoding"] == "UCS-2"
    assert [one["plain"] for one in seen["culprits"]][:2] == ['"', '"']
    assert seen["most_parts"] == 3


@pytest.mark.parametrize("body", ["", "  ", "x" * 500, "x" * 10_000, 7, None])
def test_a_text_of_no_or_many_parts_is_refused(api: Api, path: str, body: Any) -> None:
    assert list(problem(api.post(path, {"body": body}), 400)["errors"]) == ["body"]


def test_nothing_is_texted_after_an_opt_out(
    cast: Cast, heard: Day, api: Api, path: str
) -> None:
    heard.text(NUMBER, SENDING, "STOP")
    found = problem(api.post(path, {"body": "Please call us back today."}), 409)
    assert "Telephone" in found["detail"]


def test_a_task_is_done_once_and_names_no_words(cast: Cast, heard: Day) -> None:
    with scope.within(cast.organization.id):
        tasks.open_task("call", client=cast.client, now=heard.now)
    heard.text("+12025550177", SENDING, "hello, my leg hurts")
    desk = Api(cast.desk, heard.now)
    found = desk.get("desk-tasks", done="false")
    by_code = {row["code"]: row for row in found.json()["results"]}
    assert set(by_code) == {"call", "unknown_number"}
    assert by_code["unknown_number"]["number"] == "+12025550177"
    assert b"hurts" not in found.content
    path = f"desk-tasks/{by_code['call']['id']}/done"
    assert desk.post(path).json()["done_by"]["name"] == "Front Desk"
    problem(desk.post(path), 409)
    done = desk.get("desk-tasks", done="true").json()["results"]
    assert [row["code"] for row in done] == ["call"]


def test_a_task_of_another_site_is_absent(cast: Cast, heard: Day) -> None:
    with scope.within(cast.organization.id):
        row = tasks.open_task("call", client=cast.client, now=heard.now)
    far = Api(cast.far_clinician, heard.now)
    assert far.get("desk-tasks").json()["results"] == []
    problem(far.post(f"desk-tasks/{row.id}/done"), 404)
