"""API: the morning triage, taking an alert, and deciding."""

from __future__ import annotations

from typing import Any

import pytest

from clinic import scope
from tests.api import Api, plan_json, problem
from tests.cast import NUMBER, SENDING, Cast
from tests.journeys.day import Day

WORSE = "worse today 7, now down to my calf and foot tingles"


@pytest.fixture
def worse(running: Day) -> Day:
    """A client whose pain spreads."""
    running.forward(hours=4)
    running.text(NUMBER, SENDING, WORSE)
    return running


@pytest.fixture
def api(cast: Cast, worse: Day) -> Api:
    return Api(cast.clinician, worse.now)


def lighter() -> dict[str, Any]:
    return plan_json(items=plan_json()["items"][:1])


def open_alert(api: Api) -> dict[str, Any]:
    (found,) = api.get("alerts", state="open").json()["results"]
    return dict(found)


def test_triage_shows_the_reason_the_words_and_the_reading(api: Api) -> None:
    found = api.get("triage").json()
    (row,) = found["rows"]
    assert found["behind_since"] is None
    assert row["alert"]["urgency"] == "same_day"
    assert "spreading" in [one["reason"] for one in row["alert"]["reasons"]]
    assert row["last_text"]["body"] == WORSE
    assert row["last_text"]["reply"]["pain"] == 7
    start, end = row["last_text"]["reply"]["evidence"]["pain"]
    assert "7" in WORSE[start:end]
    assert row["assessment"]["reasons"]


def test_triage_of_another_site_is_absent(cast: Cast, api: Api) -> None:
    assert len(api.get("triage", site=str(cast.site.id)).json()["rows"]) == 1
    problem(api.get("triage", site=str(cast.far_site.id)), 404)
    problem(api.get("triage", site=str(cast.other_site.id)), 404)
    far = Api(cast.far_clinician, api.now)
    assert far.get("triage").json()["rows"] == []


def test_taking_an_alert_names_the_person_once(cast: Cast, api: Api) -> None:
    path = f"alerts/{open_alert(api)['id']}"
    first = api.post(f"{path}/acknowledge").json()
    assert (first["state"], first["acknowledged_by"]["name"]) == (
        "acknowledged",
        "Clinician",
    )
    assert api.post(f"{path}/acknowledge").json() == first
    kinds = [event["kind"] for event in api.get(path).json()["events"]]
    assert kinds.count("acknowledged") == 1


def test_deciding_resolves_the_alert_and_changes_the_program(
    cast: Cast, api: Api
) -> None:
    path = f"alerts/{open_alert(api)['id']}"
    body = {"kind": "reduce", "note": "leave the press-up out", "plan": lighter()}
    made = api.post(f"{path}/decide", body)
    assert made.status_code == 201, made.content
    decision = made.json()
    assert (decision["kind"], decision["note"]) == ("reduce", body["note"])
    assert decision["revision"] is not None
    shown = api.get(path).json()
    assert (shown["state"], shown["resolved_by"]["name"]) == ("resolved", "Clinician")
    listed = api.get(f"clients/{cast.client.id}/decisions").json()["results"]
    assert listed == [decision]
    problem(api.post(f"{path}/decide", body), 409)
    problem(api.post(f"{path}/acknowledge"), 409)


def test_a_decision_may_leave_the_alert_open(cast: Cast, api: Api) -> None:
    path = f"clients/{cast.client.id}/decide"
    body = {"kind": "call", "note": "no answer yet", "resolves": False}
    assert api.post(path, body).status_code == 201
    assert open_alert(api)["state"] == "open"
    assert api.post(path, {"kind": "call"}).json()["alert"] is not None
    assert api.get("alerts", state="open").json()["results"] == []


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"kind": "reduce"}, "plan"),
        ({"kind": "progress", "plan": plan_json()}, "plan"),
        ({"kind": "reduce", "plan": plan_json(times_per_day=6)}, "plan"),
        ({"kind": "pause", "until": "2026-03-02"}, "until"),
        ({"kind": "operate"}, "kind"),
        ({"note": "nothing"}, "kind"),
        ({"kind": "call", "author": "me"}, "author"),
        ({"kind": "call", "resolves": "yes"}, "resolves"),
    ],
)
def test_a_decision_that_says_too_little_is_refused(
    api: Api, body: dict[str, Any], field: str
) -> None:
    alert = open_alert(api)
    found = problem(api.post(f"alerts/{alert['id']}/decide", body), 400)
    assert list(found["errors"]) == [field]
    assert open_alert(api) == alert


def test_alerts_are_filtered(cast: Cast, api: Api) -> None:
    def count(**query: str) -> int:
        return len(api.get("alerts", **query).json()["results"])

    assert count(urgency="same_day", client=str(cast.client.id)) == 1
    assert count(urgency="emergency") == count(state="resolved") == 0
    assert count(site=str(cast.other_site.id)) == 0
    problem(api.get("alerts", urgency="soon"), 400)


def test_discharging_ends_the_program_and_the_texts(cast: Cast, api: Api) -> None:
    path = f"clients/{cast.client.id}"
    assert api.post(f"{path}/decide", {"kind": "discharge"}).status_code == 201
    assert api.get(path).json()["ended_reason"] == "discharged"
    (program,) = api.get(f"{path}/programs").json()["results"]
    assert program["state"] == "stopped"


def test_the_auditor_reads_triage_and_decides_nothing(cast: Cast, api: Api) -> None:
    auditor, alert = Api(cast.auditor, api.now), open_alert(api)
    assert len(auditor.get("triage").json()["rows"]) == 1
    problem(auditor.post(f"alerts/{alert['id']}/acknowledge"), 403)
    problem(auditor.post(f"alerts/{alert['id']}/decide", {"kind": "call"}), 403)


def test_the_front_desk_sees_no_alert(cast: Cast, api: Api) -> None:
    desk, alert = Api(cast.desk, api.now), open_alert(api)
    for path in ("triage", "alerts", f"alerts/{alert['id']}"):
        problem(desk.get(path), 403)


def test_an_alert_is_put_away_and_brought_back(cast: Cast, api: Api) -> None:
    alert = open_alert(api)
    body = {"until": "2026-03-05", "reason": "Seen today, back on Thursday"}
    away = api.post(f"alerts/{alert['id']}/snooze", body).json()
    assert away["snoozed_until"] == "2026-03-05T05:00:00Z"
    assert away["snoozed_by"]["name"] == "Clinician"
    found = api.get("triage").json()
    assert found["rows"] == []
    assert [one["id"] for one in found["snoozed"]] == [alert["id"]]
    back = api.post(f"alerts/{alert['id']}/return").json()
    assert (back["state"], back["snoozed_until"]) == ("open", None)
    assert len(api.get("triage").json()["rows"]) == 1


def test_a_day_out_of_reach_names_its_field(api: Api) -> None:
    body = {"until": "2026-05-05", "reason": "Later"}
    answer = api.post(f"alerts/{open_alert(api)['id']}/snooze", body)
    assert "until" in str(problem(answer, 400))


def test_triage_names_sites_that_nobody_watches(cast: Cast, api: Api) -> None:
    assert api.get("triage").json()["unwatched"] == []
    with scope.within(cast.organization.id):
        cast.site.on_call.all().delete()
    (site,) = api.get("triage").json()["unwatched"]
    assert site["name"] == "Elm Row"
