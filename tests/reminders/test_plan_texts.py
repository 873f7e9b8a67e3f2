"""The reminders a plan will produce, and the plan that is refused for its length."""

from __future__ import annotations

import pytest

from clinic import scope
from clinic.errors import BadInput
from programs import prescribing, publishing
from programs.plan_checks import Audience
from programs.plans import ItemPlan
from reminders import composing, plan_texts
from tests.cast import NOW, Cast, plan, prescribe, start

LONG_SITE = "Old Harbour Street"  # 18 letters, the most a short name may have
HEAVY = (
    ItemPlan("press_up_shift_right", repetitions=50, sets=10, hold_seconds=300),
    ItemPlan("walking", duration_minutes=10),
)


def test_a_rarer_exercise_is_in_the_first_sessions_only() -> None:
    items = (
        ItemPlan("prone_on_elbows", hold_seconds=30, repetitions=3, sets=1),
        ItemPlan("walking", duration_minutes=10, times_per_day=2),
    )
    found = plan_texts.of_items(items, 5, Audience("Elm Row", "en"))
    assert [one.sessions for one in found] == [(1, 2), (3, 4, 5)]
    assert "+1 more" in found[0].text.body
    assert "more" not in found[1].text.body


@pytest.mark.parametrize("language", ["en", "es", "fr"])
def test_a_common_plan_fits_one_part_at_the_longest_clinic_name(language: str) -> None:
    plan_texts.fits_one_part(plan(), Audience(LONG_SITE, language))


def test_a_plan_whose_reminder_overflows_names_exercise_and_excess() -> None:
    with pytest.raises(BadInput, match=r"x50.*signs too many") as refused:
        plan_texts.fits_one_part(plan(items=HEAVY), Audience(LONG_SITE, "es"))
    assert refused.value.field == "items.0.exercise"


def test_a_clinic_name_outside_the_text_alphabet_names_the_sign() -> None:
    with pytest.raises(BadInput, match="中"):
        plan_texts.fits_one_part(plan(), Audience("中 Clinic", "en"))


def test_prescribing_an_overflowing_plan_is_refused_and_saves_nothing(
    cast: Cast,
) -> None:
    with scope.within(cast.organization.id):
        cast.site.short_name = LONG_SITE
        cast.site.save(update_fields=["short_name"])
        cast.client.language = "es"
        cast.client.save(update_fields=["language"])
        cast.client.refresh_from_db()
        with pytest.raises(BadInput):
            prescribing.prescribe(
                cast.client, plan(items=HEAVY), start(), by=cast.clinician, now=NOW
            )
        assert prescribing.running(cast.client) is None


def test_a_template_is_measured_for_every_site_and_language(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        cast.far_site.short_name = LONG_SITE
        cast.far_site.save(update_fields=["short_name"])
        with pytest.raises(BadInput, match=LONG_SITE):
            publishing.draft_template(
                "Heavy",
                plan(items=HEAVY),
                review_after_days=5,
                by=cast.lead,
                now=NOW,
            )


def test_the_count_is_the_text_that_leaves(cast: Cast) -> None:

    prescribe(cast.client, cast.clinician)
    with scope.within(cast.organization.id):
        program = prescribing.running(cast.client)
        assert program is not None
        revision = prescribing.current_revision(program)
        sent = composing.session_text(cast.client, revision)
    shown = plan_texts.of_items(plan().items, 5, Audience("Elm Row", "en"))[0]
    assert shown.text.body == sent.body
