"""The program editor: prescribe, change with a reason, pause; what it refuses."""

from __future__ import annotations

from typing import Any

import pytest

from clinic import scope
from programs import prescribing, publishing
from programs.models import HomeProgram
from programs.plans import PRECAUTIONS
from tests.browsing import LONE_SURROGATE, page_of, post_raw, signed_in
from tests.cast import NOW, Cast, prescribe

ITEMS = {
    "items-0-exercise": "prone_on_elbows",
    "items-0-hold_seconds": "20",
    "items-0-repetitions": "5",
    "items-0-sets": "1",
    "items-0-hold_low": "10",
    "items-0-hold_high": "40",
    "items-1-exercise": "walking",
    "items-1-duration_minutes": "10",
    "items-1-times_per_day": "2",
}
PLAN = {
    "times_per_day": "5",
    "waking_from": "08:00",
    "waking_to": "20:30",
    "stop_rules": ["emergency", "leg_farther"],
    "review_on": "2026-03-09",
}
START = {
    "pain": "5",
    "reach_right": "thigh",
    "directional_preference": "extension",
    **{f"asked_{name}": "no" for name in PRECAUTIONS},
}
FORM: dict[str, Any] = ITEMS | PLAN | START | {"do": "save"}


@pytest.fixture(autouse=True)
def _on_monday(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("clinic.clock.now", lambda: NOW)


def path(cast: Cast, part: str = "program/new") -> str:
    return f"/clients/{cast.client.id}/{part}"


def post(cast: Cast, data: dict[str, Any], part: str = "program/new") -> Any:
    return signed_in(cast.clinician).post(path(cast, part), data)


def running(cast: Cast) -> HomeProgram | None:
    with scope.within(cast.organization.id):
        return prescribing.running(cast.client)


def doses(cast: Cast) -> list[Any]:
    program = running(cast)
    assert program is not None
    with scope.within(cast.organization.id):
        items = prescribing.current_revision(program).items.all()
        return [(row.exercise, row.hold_seconds, row.hold_high) for row in items]


def test_a_program_is_prescribed_from_scratch_with_its_starting_point(
    cast: Cast,
) -> None:
    answer = post(cast, FORM)
    assert answer.url == path(cast, "program")
    assert doses(cast) == [("prone_on_elbows", 20, 40), ("walking", None, None)]
    program = running(cast)
    assert program is not None
    with scope.within(cast.organization.id):
        assert program.starting_point.reach_right == "thigh"
        assert program.starting_point.precautions["pregnancy"] is False


def test_a_template_fills_the_form_and_the_start_typed_stands(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        version = publishing.add_starters(cast.organization, by=cast.owner, now=NOW)[0]
    typed = START | {"do": "fill", "template": version.id, "pain": "6.5"}
    page = page_of(post(cast, typed))
    assert 'value="prone_lying"' in page
    assert 'value="6.5"' in page
    post(cast, FORM | {"template": version.id})
    program = running(cast)
    assert program is not None
    assert program.template_version_id == version.id


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"items-0-hold_seconds": "0"}, "Hold must be between 1 and 300 seconds"),
        ({"items-0-hold_seconds": "4000"}, "4000 was given"),
        ({"items-0-hold_seconds": "ten"}, "Enter a whole number"),
        ({"items-0-hold_seconds": "9" * 5000}, "Enter a whole number"),
        ({"items-0-repetitions": ""}, "Repetitions is missing"),
        ({"items-0-hold_high": "15"}, "pre-approved hold range"),
        ({"items-1-duration_minutes": "121"}, "Duration must be between 1 and 120"),
        ({"items-1-times_per_day": "6"}, "at most as often as the program"),
        ({"items-0-exercise": "handstand"}, "not in the library"),
        ({"times_per_day": "13"}, "Times a day"),
        ({"waking_from": "21:00", "waking_to": "08:00"}, "ends before it begins"),
        ({"waking_to": "26:00"}, "Enter a valid time"),
        ({"times_per_day": "12", "waking_to": "12:00"}, "need an hour between"),
        ({"review_on": "2026-03-01"}, "between today and 120 days"),
        ({"stop_rules": ["never"]}, "Select a valid choice"),
        ({"pain": "11"}, "Pain is a number from 0 to 10"),
        ({"pain": "nan"}, "Enter a number"),
        ({"reach_right": "elbow"}, "Select a valid choice"),
        ({"asked_pregnancy": ""}, "Ask, and answer yes or no"),
    ],
)
def test_a_wrong_value_is_refused_beside_its_field_and_nothing_is_lost(
    cast: Cast, changes: dict[str, Any], said: str
) -> None:
    answer = post(cast, FORM | {"items-1-duration_minutes": "17"} | changes)
    page = page_of(answer)
    assert answer.status_code == 400
    assert said in page
    assert 'value="thigh" selected' in page or "reach_right" in changes
    assert 'value="17"' in page or "items-1-duration_minutes" in changes
    assert running(cast) is None


def test_every_faulty_row_is_named_at_once(cast: Cast) -> None:
    page = page_of(
        post(cast, FORM | {"items-0-sets": "0", "items-1-duration_minutes": "0"})
    )
    assert "Sets must be between" in page
    assert "Duration must be between" in page


def test_rows_are_added_moved_and_removed_without_saving(cast: Cast) -> None:
    added = page_of(post(cast, FORM | {"do": "add", "add_exercise": "press_up"}))
    assert 'name="items-2-exercise" value="press_up"' in added
    moved = page_of(post(cast, FORM | {"do": "up-1"}))
    assert 'name="items-0-exercise" value="walking"' in moved
    removed = page_of(post(cast, FORM | {"do": "remove-1"}))
    assert "items-1-exercise" not in removed
    twice = page_of(post(cast, FORM | {"do": "add", "add_exercise": "walking"}))
    assert "in the program already" in twice
    nothing = page_of(post(cast, FORM | {"do": "add", "add_exercise": ""}))
    assert "Choose an exercise to add" in nothing
    assert running(cast) is None


def test_a_change_needs_a_reason_and_says_what_it_raised(cast: Cast) -> None:
    prescribe(cast.client, cast.clinician)
    change = FORM | {"items-0-hold_seconds": "40", "items-0-repetitions": "3"}
    without = post(cast, change, "program")
    assert without.status_code == 400
    assert "Say why the program changes" in page_of(without)
    answer = signed_in(cast.clinician).post(
        path(cast, "program"), change | {"reason": "draws in well"}, follow=True
    )
    assert "Saved as revision 2. Raised:" in page_of(answer)
    assert "Walking." in page_of(answer)
    assert doses(cast)[0] == ("prone_on_elbows", 40, 40)
    assert "draws in well" in page_of(answer)


@pytest.mark.parametrize("sign", [b"%00", LONE_SURROGATE])
def test_a_broken_sign_in_the_reason_is_refused(cast: Cast, sign: bytes) -> None:
    prescribe(cast.client, cast.clinician)
    browser = signed_in(cast.clinician)
    answer = post_raw(browser, path(cast, "program"), b"do=save&reason=a" + sign)
    assert "a sign that cannot be kept" in page_of(answer)


def test_a_program_is_paused_goes_on_and_stops(cast: Cast) -> None:
    program = prescribe(cast.client, cast.clinician)
    browser, base = signed_in(cast.clinician), f"/home-programs/{program.id}"
    wrong = browser.post(f"{base}/pause", {"until": "2026-03-01"})
    assert "Choose a day after today" in page_of(wrong)
    for act, state in (("pause", "paused"), ("go-on", "active"), ("stop", "stopped")):
        assert browser.post(f"{base}/{act}").status_code == 302
        with scope.within(cast.organization.id):
            program.refresh_from_db()
        assert program.state == state


def test_the_new_page_leads_to_the_running_program_and_back(cast: Cast) -> None:
    browser = signed_in(cast.clinician)
    assert browser.get(path(cast, "program")).url == path(cast)
    prescribe(cast.client, cast.clinician)
    assert browser.get(path(cast)).url == path(cast, "program")


@pytest.mark.parametrize("role", ["owner", "auditor"])
def test_owner_and_auditor_read_and_may_not_prescribe(cast: Cast, role: str) -> None:
    prescribe(cast.client, cast.clinician)
    browser = signed_in(getattr(cast, role))
    page = page_of(browser.get(path(cast, "program")))
    assert "prescribed" in page
    assert "Save the change" not in page
    assert browser.get(path(cast)).status_code == 403
    refused = browser.post(path(cast, "program"), FORM | {"reason": "x"})
    assert refused.status_code == 403


def test_the_front_desk_sees_no_program(cast: Cast) -> None:
    browser = signed_in(cast.desk)
    for part in ("program", "program/new", "handout"):
        assert browser.get(path(cast, part)).status_code == 403


@pytest.mark.parametrize("role", ["outsider", "far_clinician"])
def test_clients_of_others_are_not_found(cast: Cast, role: str) -> None:
    program = prescribe(cast.client, cast.clinician)
    browser = signed_in(getattr(cast, role))
    for part in ("program", "program/new", "handout"):
        assert browser.get(path(cast, part)).status_code == 404
    assert browser.post(path(cast), FORM).status_code == 404
    assert browser.post(path(cast, "program/preview"), FORM).status_code == 404
    assert browser.post(f"/home-programs/{program.id}/stop").status_code == 404


def test_the_preview_counts_the_text_and_names_what_is_raised(cast: Cast) -> None:
    prescribe(cast.client, cast.clinician)
    page = page_of(post(cast, FORM, "program/preview"))
    assert "20 s x5" in page
    assert "of 160 signs, 1 part" in page
    assert "Raised against the running program:" in page
    wrong = page_of(post(cast, FORM | {"times_per_day": "x"}, "program/preview"))
    assert "Fill in exercises" in wrong


def test_the_preview_answers_a_script_with_a_fragment(cast: Cast) -> None:
    answer = signed_in(cast.clinician).post(
        path(cast, "program/preview"), FORM, headers={"HX-Request": "true"}
    )
    assert "<html" not in page_of(answer)
    assert "1 part" in page_of(answer)
