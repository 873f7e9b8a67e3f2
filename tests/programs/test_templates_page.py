"""Template pages: drafts, frozen numbered versions, and who may publish."""

from __future__ import annotations

from typing import Any

import pytest

from clinic import scope
from programs.models import Template, TemplateVersion
from tests.browsing import page_of, signed_in
from tests.cast import Cast

LONG_SITE = "Old Harbour Street"
DRAFT: dict[str, Any] = {
    "do": "save",
    "name": "Elbows first",
    "items-0-exercise": "prone_on_elbows",
    "items-0-hold_seconds": "15",
    "items-0-repetitions": "5",
    "items-0-sets": "1",
    "times_per_day": "4",
    "waking_from": "08:00",
    "waking_to": "20:00",
    "stop_rules": ["emergency"],
    "review_after_days": "4",
}


def template(cast: Cast) -> Template:
    with scope.within(cast.organization.id):
        found: Template = Template.objects.get()
        return found


def versions(cast: Cast) -> list[TemplateVersion]:
    with scope.within(cast.organization.id):
        return list(TemplateVersion.objects.order_by("number"))


def drafted(cast: Cast) -> TemplateVersion:
    assert signed_in(cast.clinician).post("/programs/new", DRAFT).status_code == 302
    return versions(cast)[-1]


def publish(cast: Cast, role: str = "lead") -> Any:
    path = f"/programs/versions/{versions(cast)[-1].id}/publish"
    return signed_in(getattr(cast, role)).post(path)


def test_a_draft_is_published_and_the_next_draft_is_a_new_version(cast: Cast) -> None:
    drafted(cast)
    assert publish(cast).status_code == 302
    edit = f"/programs/{template(cast).id}/draft"
    browser = signed_in(cast.clinician)
    assert 'value="15"' in page_of(browser.get(edit))
    browser.post(edit, DRAFT | {"items-0-hold_seconds": "25", "change_note": "longer"})
    first, second = versions(cast)
    assert (first.number, first.content["items"][0]["hold_seconds"]) == (1, 15)
    assert (second.number, second.content["items"][0]["hold_seconds"]) == (2, 25)
    page = page_of(browser.get(f"/programs/{template(cast).id}"))
    assert "longer" in page
    assert "Publish" not in page
    listed = page_of(browser.get("/programs"))
    assert "version 1" in listed
    assert "draft of version 2" in listed


def test_a_draft_is_replaced_not_multiplied(cast: Cast) -> None:
    drafted(cast)
    edit = f"/programs/{template(cast).id}/draft"
    signed_in(cast.clinician).post(edit, DRAFT | {"items-0-sets": "2"})
    (only,) = versions(cast)
    assert only.content["items"][0]["sets"] == 2


def test_a_version_is_published_once_and_by_a_lead(cast: Cast) -> None:
    drafted(cast)
    assert publish(cast, "clinician").status_code == 403
    assert publish(cast, "lead").status_code == 302
    assert publish(cast, "owner").status_code == 409


def test_a_retired_template_is_no_longer_on_offer(cast: Cast) -> None:
    drafted(cast)
    publish(cast)
    path = f"/programs/{template(cast).id}/retire"
    assert signed_in(cast.clinician).post(path).status_code == 403
    assert signed_in(cast.lead).post(path).status_code == 302
    assert "Retired" in page_of(signed_in(cast.desk).get("/programs"))
    offered = page_of(
        signed_in(cast.clinician).get(f"/clients/{cast.client.id}/program/new")
    )
    assert "Elbows first" not in offered


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"name": ""}, "Give the template a name"),
        ({"name": "a\x00"}, "a sign that cannot be kept"),
        ({"items-0-hold_seconds": "0"}, "between 1 and 300 seconds"),
        ({"items-0-hold_seconds": "4000"}, "between 1 and 300 seconds"),
        ({"items-0-exercise": "x"}, "not in the library"),
        ({"waking_from": "20:30"}, "ends before it begins"),
        ({"review_after_days": "0"}, "Review after 1 to 120 days"),
        ({"review_after_days": "9" * 30}, "Review after 1 to 120 days"),
        ({"times_per_day": ""}, "required"),
    ],
)
def test_a_wrong_template_is_refused_and_what_was_typed_stands(
    cast: Cast, changes: dict[str, str], said: str
) -> None:
    typed = DRAFT | {"items-0-repetitions": "9"} | changes
    answer = signed_in(cast.clinician).post("/programs/new", typed)
    assert answer.status_code == 400
    assert said in page_of(answer)
    assert 'value="9"' in page_of(answer) or "items-0-exercise" in changes
    assert versions(cast) == []


def test_a_second_template_of_the_same_name_is_refused(cast: Cast) -> None:
    drafted(cast)
    again = signed_in(cast.clinician).post("/programs/new", DRAFT)
    assert "A template of this name exists" in page_of(again)


def test_a_template_too_long_for_one_site_names_exercise_and_site(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        cast.far_site.short_name = LONG_SITE
        cast.far_site.save(update_fields=["short_name"])
    heavy = {
        "items-0-exercise": "press_up_shift_right",
        "items-0-hold_seconds": "300",
        "items-0-repetitions": "50",
        "items-0-sets": "10",
        "items-1-exercise": "walking",
        "items-1-duration_minutes": "10",
    }
    answer = signed_in(cast.clinician).post("/programs/new", DRAFT | heavy)
    assert answer.status_code == 400
    assert LONG_SITE in page_of(answer)
    assert "signs too many for one text" in page_of(answer)


def test_the_preview_counts_each_language(cast: Cast) -> None:
    page = page_of(signed_in(cast.clinician).post("/programs/preview", DRAFT))
    assert page.count("of 160 signs, 1 part") == 3
    assert "15 s x5" in page


@pytest.mark.parametrize("role", ["desk", "auditor"])
def test_readers_look_and_may_not_draft(cast: Cast, role: str) -> None:
    drafted(cast)
    browser = signed_in(getattr(cast, role))
    assert browser.get(f"/programs/{template(cast).id}").status_code == 200
    assert browser.post("/programs/new", DRAFT).status_code == 403
    assert browser.post("/programs/preview", DRAFT).status_code == 403


def test_another_organization_finds_no_template(cast: Cast) -> None:
    drafted(cast)
    browser = signed_in(cast.outsider)
    assert browser.get(f"/programs/{template(cast).id}").status_code == 404
    assert browser.get(f"/programs/{template(cast).id}/draft").status_code == 404
    assert "Elbows first" not in page_of(browser.get("/programs"))
