"""API of dose and load: answers kept, holds switched, rates never alone, what-if."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest

from clinic import access, scope
from programs import considering, prescribing
from programs.models import HomeProgram, KeptSuggestion
from reminders import alerting, composing, outbox
from reminders.logic.findings import Finding
from reminders.models import Alert, Outbound
from tests.api import Api, plan_json
from tests.cast import NOW, Cast, prescribe
from tests.house.api_world import RANGED, SUGGESTED

MINUTE = timedelta(minutes=1)
UP = SUGGESTED | {
    "row": "10",
    "action": "progress",
    "exercise_code": "press_up",
    "target_code": "press_up_sag",
}
BACK = UP | {"row": "3", "action": "step_back", "target_code": "prone_lying"}


@pytest.fixture
def program(cast: Cast) -> Iterator[HomeProgram]:
    row = prescribe(cast.client, cast.clinician, items=RANGED)
    with scope.within(cast.organization.id):
        yield row


@pytest.fixture
def api(cast: Cast) -> Api:
    return Api(cast.clinician)


def kept(program: HomeProgram, said: dict[str, Any]) -> KeptSuggestion:
    considering.keep(program, said, now=NOW)
    row = considering.open_of(program.client)
    assert row is not None
    return row


def answer(api: Api, row: KeptSuggestion, **body: Any) -> Any:
    return api.post(f"clients/{row.client_id}/suggestions/{row.id}/answer", body)


def test_accepting_changes_the_program_once_and_is_kept(
    api: Api, program: HomeProgram
) -> None:
    row = kept(program, UP)
    found = answer(api, row, answer="accept")
    assert found.status_code == 200, found.content
    assert found.json()["state"] == "accepted"
    assert found.json()["revision"]
    codes = [i.exercise for i in prescribing.current_revision(program).items.all()]
    assert codes == ["prone_on_elbows", "press_up_sag"]
    assert answer(api, row, answer="accept").status_code == 409
    listed = api.get(f"clients/{row.client_id}/suggestions").json()["results"]
    assert [one["state"] for one in listed] == ["accepted"]


def test_accepting_less_resolves_the_alert_it_answers(
    cast: Cast, api: Api, program: HomeProgram
) -> None:
    row = kept(program, BACK)
    found = [Finding("spreading", "next_day")]
    alerting.raise_alert(cast.client, found, now=NOW)
    assert answer(api, row, answer="accept").status_code == 200
    assert Alert.objects.get().state == "resolved"
    codes = [i.exercise for i in prescribing.current_revision(program).items.all()]
    assert codes == ["prone_on_elbows", "prone_lying"]


@pytest.mark.parametrize("reason", ["question", "leg_weakness"])
def test_a_question_or_a_warning_word_is_not_resolved_by_a_dose(
    cast: Cast, api: Api, program: HomeProgram, reason: str
) -> None:
    row = kept(program, BACK)
    alerting.raise_alert(cast.client, [Finding(reason, "same_day")], now=NOW)
    assert answer(api, row, answer="accept").status_code == 200
    assert Alert.objects.get().state == "open"


def test_more_is_not_accepted_beside_an_alert_or_an_open_question(
    cast: Cast, api: Api, program: HomeProgram
) -> None:
    row = kept(program, UP)
    phone = access.current_number(cast.client)
    assert phone is not None
    text = composing.site_text("ask_safety", cast.site, "en")
    asked = outbox.put(text, key="q", phone=phone, now=NOW, client=cast.client)
    Outbound.objects.filter(pk=asked.pk).update(sent_at=NOW - MINUTE)
    assert answer(api, row, answer="accept").status_code == 409
    Outbound.objects.filter(pk=asked.pk).delete()
    alerting.raise_alert(cast.client, [Finding("skipping", "review")], now=NOW)
    assert answer(api, row, answer="accept").status_code == 409
    row.refresh_from_db()
    assert row.state == "open"
    assert prescribing.current_revision(program).number == 1


def test_editing_needs_a_plan_and_a_reason_declining_a_reason(
    api: Api, program: HomeProgram
) -> None:
    row = kept(program, UP)
    for body in (
        {"answer": "edit", "reason": "less"},
        {"answer": "edit", "plan": plan_json(times_per_day=4)},
        {"answer": "decline"},
    ):
        assert answer(api, row, **body).status_code == 400
    plan = plan_json(times_per_day=4)
    found = answer(api, row, answer="edit", reason="fewer times", plan=plan)
    assert (found.status_code, found.json()["state"]) == (200, "edited")
    assert found.json()["reason"] == "fewer times"


def test_a_hold_is_switched_on_and_says_what_forbids_a_step(
    api: Api, program: HomeProgram
) -> None:
    path = f"clients/{program.client_id}/holds"
    [before] = api.get(path).json()["holds"]
    assert (before["is_on"], before["low"], before["high"]) == (False, 5, 60)
    [after] = api.post(path, {"exercise": "prone_on_elbows", "on": True}).json()[
        "holds"
    ]
    assert after["is_on"]
    codes = {one["code"] for one in after["refusals"]}
    assert {"first_days", "few_replies", "not_ready"} <= codes
    refused = api.post(path, {"exercise": "press_up", "on": True})
    assert refused.status_code == 400
    assert api.get(f"clients/{program.client_id}/hold-steps").json()["results"] == []


def test_the_three_rates_come_together(api: Api, program: HomeProgram) -> None:
    found = api.get(f"clients/{program.client_id}/adherence").json()["periods"]
    assert [one["days"] for one in found] == [7, 28]
    for one in found:
        assert {"reply_rate", "confirmed_rate", "conditional_rate"} <= set(one)


def test_the_load_is_fixed_and_released(api: Api, program: HomeProgram) -> None:
    path = f"clients/{program.client_id}/load"
    assert api.get(path).json()["level"] == "full"
    fixed = api.put(path, {"level": "fewer"}).json()
    assert (fixed["fixed"], fixed["per_day"], fixed["times_per_day"]) == (True, 3, 5)
    assert api.put(path, {"level": None}).json()["fixed"] is False


def test_what_if_lists_every_exercise_with_a_hold(
    api: Api, program: HomeProgram
) -> None:
    found = api.get(f"clients/{program.client_id}/what-if").json()["exercises"]
    assert [one["exercise"] for one in found] == ["prone_on_elbows"]
    assert found[0]["days"] == []


def test_without_a_program_there_is_nothing_to_count(cast: Cast, api: Api) -> None:
    for path in ("holds", "adherence", "load", "what-if"):
        assert api.get(f"clients/{cast.client.id}/{path}").status_code == 409
