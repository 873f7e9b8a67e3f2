"""The editors in a real browser: what a script adds, and that nothing needs it."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from clinic import scope
from clinic.models import Client
from programs import prescribing, publishing
from reminders import desk
from tests.browser.conftest import Served, sign_in
from tests.browser.test_pages import WIDTHS, address, violations
from tests.cast import NOW, enroll

pytestmark = pytest.mark.browser
OWNER_PAGES = (
    "/clients",
    "/sites",
    "/sites/new",
    "/sites/{site}",
    "/staff",
    "/staff/{staff}",
    "/settings",
    "/audit",
    "/desk",
    "/enroll",
    "/clients/{client}/number",
    "/clients/{client}/clinician",
    "/clients/{client}/program",
)
CLINICIAN_PAGES = (
    "/programs",
    "/programs/new",
    "/programs/{template}",
    "/programs/{template}/draft",
    "/clients/{fresh}/program/new",
    "/clients/{client}/program",
    "/clients/{client}/handout",
)


@pytest.fixture
def furnished(served: Served) -> dict[str, Any]:
    """Templates, a desk task, a closed day, and a client without a program."""
    cast = served.cast
    with scope.within(cast.organization.id):
        version = publishing.add_starters(cast.organization, by=cast.owner, now=NOW)[1]
        desk.open_task("number_failed", now=NOW, client=cast.client)
        desk.open_task("unknown_number", now=NOW, detail="+12025550177")
        fresh = enroll(cast.site, cast.clinician, name="Ada", number="+12025550146")
    return {
        "client": cast.client.id,
        "site": cast.site.id,
        "staff": cast.clinician.id,
        "template": version.template_id,
        "fresh": fresh.id,
    }


@pytest.mark.parametrize(
    ("role", "paths"), [("owner", OWNER_PAGES), ("clinician", CLINICIAN_PAGES)]
)
def test_every_editor_stands_wide_and_narrow_without_violations(
    chromium: Any,
    served: Served,
    furnished: dict[str, Any],
    role: str,
    paths: tuple[str, ...],
) -> None:
    context = chromium.new_context()
    page = context.new_page()
    sign_in(page, served, getattr(served.cast, role).email)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        for path in paths:
            page.goto(served.url + path.format(**furnished))
            page.wait_for_load_state("networkidle")
            overflow = page.evaluate(
                "document.documentElement.scrollWidth - window.innerWidth"
            )
            assert overflow <= 0, f"{path} is {overflow} px too wide at {width}"
            assert violations(page) == [], path
    context.close()


def test_an_exercise_is_added_and_counted_in_place(page: Page, served: Served) -> None:
    page.goto(address(served, "/clients/{client}/program"))
    expect(page.locator("#preview")).to_contain_text("of 160 signs, 1 part")
    assert "Nothing is raised" in page.inner_text("#preview")
    page.select_option("#add_exercise", "walking")
    page.get_by_role("button", name="Add", exact=True).click()
    page.wait_for_selector(
        "input[name='items-2-exercise'][value=walking]", state="attached"
    )
    page.fill("#id_items-0-hold_seconds", "45")
    page.keyboard.press("Tab")
    expect(page.locator("#preview")).to_contain_text("45 s x3")
    assert "Raised against the running program" in page.inner_text("#preview")
    page.fill("#id_reason", "draws in well")
    page.get_by_role("button", name="Save the change").click()
    expect(page.locator("main")).to_contain_text("Saved as revision 2")


def test_a_program_is_prescribed_without_a_script(
    chromium: Any, served: Served, furnished: dict[str, Any]
) -> None:
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    sign_in(page, served, served.cast.clinician.email)
    page.goto(f"{served.url}/clients/{furnished['fresh']}/program/new")
    page.select_option("#template", label="Extension: up on the hands, version 1")
    page.get_by_role("button", name="Fill in").click()
    page.get_by_role("button", name="Move up Press-up").click()
    page.fill("#id_pain", "6")
    for question in page.locator("input[type=radio][value=no]").all():
        question.check()
    page.get_by_role("button", name="Prescribe").click()
    assert "Prescribed" in page.inner_text("main")
    with scope.within(served.cast.organization.id):
        client = Client.objects.get(pk=furnished["fresh"])
        program = prescribing.running(client)
        assert program is not None
        items = prescribing.current_revision(program).items.all()
        assert items[0].exercise == "press_up"
    context.close()


def test_the_consent_words_follow_the_language_chosen(
    page: Page, served: Served
) -> None:
    page.goto(f"{served.url}/enroll")
    page.fill("#id_name", "Noor Hallam")
    page.select_option("#id_language", "es")
    expect(page.locator("#id_consent_wording")).to_have_value(re.compile("^Acepto"))
    assert page.input_value("#id_name") == "Noor Hallam"
    assert "AYUDA" in page.inner_text("aside")


def test_a_client_is_found_while_the_name_is_typed(page: Page, served: Served) -> None:
    page.goto(f"{served.url}/clients")
    page.locator("#id_name").press_sequentially("reyes")
    expect(page.locator("main")).not_to_contain_text("Ines Calder")
    assert "Omar Reyes" in page.inner_text("main")
    assert "reyes" not in page.url


def test_the_on_call_chain_moves_in_place(chromium: Any, served: Served) -> None:
    context = chromium.new_context()
    page = context.new_page()
    sign_in(page, served, served.cast.lead.email)
    page.goto(address(served, "/sites/{site}"))
    page.get_by_role("button", name="Move up place 2").click()
    expect(page.locator("#id_chain-0-number")).to_have_value("+12025550192")
    page.get_by_role("button", name="Save the chain").click()
    expect(page.locator("main")).to_contain_text("chain is saved")
    context.close()
