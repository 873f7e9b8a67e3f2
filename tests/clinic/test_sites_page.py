"""Sites: what a site lead sets, what is refused beside its field, who may look."""

from __future__ import annotations

from typing import Any

import pytest

from clinic import scope
from clinic.models import Site
from tests.browsing import LONE_SURROGATE, page_of, post_raw, signed_in
from tests.cast import Cast

DETAILS = {
    "name": "Elm Row",
    "short_name": "Elm Row",
    "time_zone": "America/New_York",
    "region": "US",
    "language": "en",
    "emergency_number": "911",
    "crisis_line": "988",
    "call_back_number": "202-555-0110",
    "quiet_from": "21:00",
    "quiet_to": "08:00",
    "page_wait_minutes": "10",
    "hours_0": "8:00-12:00, 13:00-18:00",
}


def post(cast: Cast, part: str, data: dict[str, Any], role: str = "lead") -> Any:
    path = f"/sites/{cast.site.id}/{part}"
    return signed_in(getattr(cast, role)).post(path, data)


def reread(cast: Cast) -> Site:
    with scope.within(cast.organization.id):
        return Site.objects.get(pk=cast.site.id)


def test_details_and_split_hours_are_saved_and_shown_again(cast: Cast) -> None:
    answer = post(cast, "details", DETAILS | {"crisis_line": "1-555-0100"})
    assert answer.status_code == 302
    site = reread(cast)
    assert site.crisis_line == "1-555-0100"
    assert site.hours["0"] == [["08:00", "12:00"], ["13:00", "18:00"]]
    assert site.hours["1"] == []
    page = page_of(signed_in(cast.lead).get(f"/sites/{site.id}"))
    assert "08:00-12:00, 13:00-18:00" in page


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("name", "", "required"),
        ("name", "Quarry Street", "A site of this name exists"),
        ("short_name", "x" * 19, "at most 18"),
        ("time_zone", "Mars/Base", "This time zone is not known"),
        ("region", "ZZ", "Select a valid choice"),
        ("language", "tlh", "Select a valid choice"),
        ("emergency_number", "", "required"),
        ("page_wait_minutes", "0", "Wait 1 to 60 minutes"),
        ("quiet_from", "25:00", "Enter a valid time"),
        ("hours_0", "morning", "Write hours as"),
        ("hours_0", "18:00-08:00", "Hours end before they begin"),
        ("hours_0", "08:00-25:00", "Write hours as"),
        ("name", "a\x00b", "a sign that cannot be kept"),
    ],
)
def test_a_wrong_detail_is_refused_and_nothing_typed_is_lost(
    cast: Cast, field: str, value: str, said: str
) -> None:
    typed = DETAILS | {"call_back_number": "202-555-0123", field: value}
    answer = post(cast, "details", typed)
    assert answer.status_code == 400
    assert said in page_of(answer)
    assert "202-555-0123" in page_of(answer)
    assert reread(cast).call_back_number == "202-555-0110"


def test_half_a_character_in_a_name_is_refused(cast: Cast) -> None:
    path = f"/sites/{cast.site.id}/details"
    answer = post_raw(signed_in(cast.lead), path, b"name=Elm" + LONE_SURROGATE)
    assert "a sign that cannot be kept" in page_of(answer)


def test_a_closed_day_is_added_and_taken_back(cast: Cast) -> None:
    assert post(cast, "close", {"on": "2026-12-25"}).status_code == 302
    assert reread_closures(cast) == ["2026-12-25"]
    assert post(cast, "open", {"on": "2026-12-25"}).status_code == 302
    assert reread_closures(cast) == []
    wrong = post(cast, "close", {"on": "Christmas", "note": "holiday"})
    assert wrong.status_code == 400
    assert "Enter a valid date" in page_of(wrong)
    assert "holiday" in page_of(wrong)


def reread_closures(cast: Cast) -> list[str]:
    with scope.within(cast.organization.id):
        return [str(row) for row in cast.site.closures.all()]


def chain(cast: Cast, *rows: tuple[str, str], do: str = "save") -> dict[str, str]:
    data = {"do": do}
    for index, (role, number) in enumerate(rows):
        data[f"chain-{index}-staff"] = str(getattr(cast, role).id) if role else ""
        data[f"chain-{index}-number"] = number
    return data


def on_call(cast: Cast) -> list[str]:
    with scope.within(cast.organization.id):
        return [entry.staff.name for entry in cast.site.on_call.all()]


def test_the_on_call_chain_is_saved_in_order_without_empty_rows(cast: Cast) -> None:
    rows = [("lead", "202-555-0192"), ("", ""), ("clinician", "202-555-0191")]
    assert post(cast, "on-call", chain(cast, *rows)).status_code == 302
    assert on_call(cast) == ["Site Lead", "Clinician"]


def test_rows_of_the_chain_move_without_being_saved(cast: Cast) -> None:
    rows = [("clinician", "202-555-0191"), ("lead", "202-555-01")]
    answer = post(cast, "on-call", chain(cast, *rows, do="up-1"))
    assert answer.status_code == 200
    page = page_of(answer)
    assert page.index('value="202-555-01"') < page.index('value="202-555-0191"')
    assert on_call(cast) == ["Clinician", "Site Lead"]


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([("lead", "12")], "too few or too many digits"),
        ([("clinician", "202-555-0191"), ("lead", "")], "Give the number"),
        ([("", "202-555-0191")], "Choose the person"),
        ([("", "")], "needs at least one person"),
        ([("far_clinician", "202-555-0191")], "Select a valid choice"),
    ],
)
def test_a_wrong_chain_is_refused_and_the_old_one_stands(
    cast: Cast, rows: list[tuple[str, str]], said: str
) -> None:
    answer = post(cast, "on-call", chain(cast, *rows))
    assert answer.status_code == 400
    assert said in page_of(answer)
    assert on_call(cast) == ["Clinician", "Site Lead"]


@pytest.mark.parametrize("do", ["up-0", "up-99", "remove-7", "up-", "up-²", "drop"])
def test_an_act_that_is_none_saves_the_rows_or_says_why(cast: Cast, do: str) -> None:
    answer = post(cast, "on-call", chain(cast, ("lead", "12"), do=do))
    assert answer.status_code in (200, 400)
    assert on_call(cast) == ["Clinician", "Site Lead"]


@pytest.mark.parametrize("role", ["clinician", "desk", "auditor"])
def test_a_role_that_may_look_may_not_change(cast: Cast, role: str) -> None:
    page = signed_in(getattr(cast, role)).get(f"/sites/{cast.site.id}")
    assert page.status_code == 200
    assert "Save the details" not in page_of(page)
    assert post(cast, "details", DETAILS, role).status_code == 403
    assert post(cast, "on-call", chain(cast), role).status_code == 403


def test_a_site_of_others_is_not_found(cast: Cast) -> None:
    browser = signed_in(cast.outsider)
    assert browser.get(f"/sites/{cast.site.id}").status_code == 404
    assert signed_in(cast.lead).get(f"/sites/{cast.far_site.id}").status_code == 404
    far = f"/sites/{cast.far_site.id}/details"
    assert signed_in(cast.lead).post(far, DETAILS).status_code == 404


def test_a_site_is_opened_by_the_owner_of_all_sites_only(cast: Cast) -> None:
    new = DETAILS | {"name": "Mill Lane", "short_name": "Mill Lane"}
    assert signed_in(cast.lead).post("/sites/new", new).status_code == 403
    assert signed_in(cast.owner).post("/sites/new", new).status_code == 302
    assert "Mill Lane" in page_of(signed_in(cast.owner).get("/sites"))
    again = signed_in(cast.owner).post("/sites/new", new)
    assert "A site of this name exists" in page_of(again)


def test_hours_on_duty_are_kept_as_read_and_shown_again(cast: Cast) -> None:
    data = chain(cast, ("lead", "202-555-0192"), ("clinician", "202-555-0191"))
    data["chain-0-hours"] = "mon-fri 18:00-8:00; sat 0:00-24:00"
    assert post(cast, "on-call", data).status_code == 302
    with scope.within(cast.organization.id):
        kept = [entry.hours for entry in cast.site.on_call.all()]
    assert kept == ["Mon-Fri 18:00-08:00, Sat 00:00-24:00", ""]
    for role in ("lead", "clinician"):
        page = page_of(signed_in(getattr(cast, role)).get(f"/sites/{cast.site.id}"))
        assert kept[0] in page


def test_hours_that_cannot_be_read_are_refused_beside_their_row(cast: Cast) -> None:
    data = chain(cast, ("lead", "202-555-0192"))
    data["chain-0-hours"] = "nights"
    answer = post(cast, "on-call", data)
    assert answer.status_code == 400
    assert "Write hours as Mon-Fri 18:00-08:00" in page_of(answer)
    assert on_call(cast) == ["Clinician", "Site Lead"]
