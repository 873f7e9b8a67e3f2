"""A day over the API and the signed webhook, from enrolling to the new dose."""

from __future__ import annotations

from typing import Any

import pytest

from clinic import audit, scope
from tests.api import Api, plan_json, start_json
from tests.cast import CONSENT, NOW, SENDING, Cast
from tests.journeys.day import TOKEN, Day

MARA = "+12025550166"


@pytest.fixture(autouse=True)
def _token(settings: Any) -> None:
    settings.TWILIO_AUTH_TOKEN = TOKEN


class People:
    """The front desk and the clinician, calling at the day's own time."""

    def __init__(self, cast: Cast, day: Day) -> None:
        self.cast, self.day = cast, day
        self.desk, self.clinician = Api(cast.desk), Api(cast.clinician)

    def ask(self, api: Api, path: str, **query: Any) -> Any:
        api.now = self.day.now
        found = api.get(path, **query)
        assert found.status_code == 200, found.content
        return found.json()

    def do(self, api: Api, path: str, body: Any = None) -> Any:
        api.now = self.day.now
        found = api.post(path, body)
        assert found.status_code in (200, 201), found.content
        return found.json()


def test_a_day_from_enrolling_to_the_next_reminder(cast: Cast) -> None:
    day = Day(NOW)
    people = People(cast, day)
    client = people.do(people.desk, "enrollments", enrollment(cast))
    path = f"clients/{client['id']}"
    program = people.do(
        people.clinician,
        f"{path}/programs",
        {"plan": plan_json(), "start": start_json()},
    )

    day.work()
    assert len(day.phones.to(MARA)) == 1
    day.text(MARA, SENDING, "ok")
    assert people.ask(people.desk, path)["monitoring"] == "active"

    day.forward(hours=4)
    assert "30 s x3" in day.phones.to(MARA)[-1]
    day.text(MARA, SENDING, "done, pain 4, thigh")
    (report,) = people.ask(people.clinician, f"{path}/reports")["results"]
    assert (report["pain"], report["areas"]) == (4, {"thigh": "present"})
    assert people.ask(people.clinician, "triage")["rows"] == []

    day.forward(hours=3)
    day.text(MARA, SENDING, "worse today 7, now down to my calf and foot tingles")
    (row,) = people.ask(people.clinician, "triage")["rows"]
    assert row["alert"]["client"]["name"] == "Mara Quill"
    assert row["alert"]["urgency"] == "same_day"

    alert = f"alerts/{row['alert']['id']}"
    people.do(people.clinician, f"{alert}/acknowledge")
    fewer = plan_json(items=plan_json()["items"][:1])
    fewer["items"][0]["hold_seconds"] = 15
    choice = {"kind": "reduce", "note": "elbows only, shorter", "plan": fewer}
    decision = people.do(people.clinician, f"{alert}/decide", choice)
    assert people.ask(people.clinician, "triage")["rows"] == []

    day.forward(hours=20)
    told = [text for text in day.phones.to(MARA) if "15 s x3" in text]
    assert "NEW dose" in told[0]

    shown = people.ask(people.clinician, f"programs/{program['id']}")
    assert shown["revision"]["id"] == decision["revision"]
    thread = people.ask(people.clinician, f"{path}/messages")["results"]
    assert [row["direction"] for row in thread].count("in") == 3
    assert len(day.phones.to(MARA)) == len(thread) - 3
    with scope.within(cast.organization.id):
        assert audit.verify(cast.organization)[1] is None


def test_an_emergency_is_taken_over_the_api_and_the_paging_ends(cast: Cast) -> None:
    day = Day(NOW)
    people = People(cast, day)
    client = people.do(people.desk, "enrollments", enrollment(cast))
    path = f"clients/{client['id']}"
    body = {"plan": plan_json(), "start": start_json()}
    program = people.do(people.clinician, f"{path}/programs", body)
    day.work()
    day.text(MARA, SENDING, "ok")
    day.forward(hours=2)
    day.text(MARA, SENDING, "numb between my legs and cant pee")

    (row,) = people.ask(people.clinician, "triage")["rows"]
    assert (row["alert"]["urgency"], row["held"]) == ("emergency", True)
    assert len(day.phones.to("+12025550191")) == 1
    people.do(people.clinician, f"alerts/{row['alert']['id']}/acknowledge")
    day.forward(hours=1)
    assert day.phones.to("+12025550192") == []
    shown = people.ask(people.clinician, f"programs/{program['id']}")
    assert shown["state"] == "held"


def enrollment(cast: Cast) -> dict[str, Any]:
    return {
        "site": str(cast.site.id),
        "clinician": str(cast.clinician.id),
        "name": "Mara Quill",
        "number": "(202) 555-0166",
        "language": "en",
        "time_zone": "America/New_York",
        "consent_wording": CONSENT,
    }
