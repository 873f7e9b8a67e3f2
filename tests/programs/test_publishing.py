"""Templates: drafts change, published versions are frozen and numbered."""

from __future__ import annotations

from dataclasses import replace

import pytest

from clinic import scope
from clinic.errors import BadInput, Conflict
from programs import library, plans, prescribing, publishing
from programs.models import TemplateVersion
from tests.cast import NOW, Cast, plan, start


def draft(cast: Cast, name: str = "First steps", days: int = 7) -> TemplateVersion:
    return publishing.draft_template(
        name, plan(), review_after_days=days, by=cast.lead, now=NOW
    )


def test_a_draft_is_replaced_until_it_is_published(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        version = draft(cast)
        again = publishing.draft_version(
            version.template,
            replace(plan(), times_per_day=4),
            review_after_days=7,
            by=cast.lead,
            now=NOW,
        )
        assert (again.id, again.number) == (version.id, 1)
        assert again.content["times_per_day"] == 4


def test_a_published_version_is_frozen_and_the_next_has_the_next_number(
    cast: Cast,
) -> None:
    with scope.within(cast.organization.id):
        version = draft(cast)
        publishing.publish(version, by=cast.lead, now=NOW)
        with pytest.raises(Conflict):
            publishing.publish(version, by=cast.lead, now=NOW)
        version.content = {}
        with pytest.raises(TypeError):
            version.save()
        following = publishing.draft_version(
            version.template, plan(), review_after_days=9, by=cast.lead, now=NOW
        )
        assert following.number == 2


@pytest.mark.parametrize(("name", "days"), [("", 7), ("First steps", 0)])
def test_a_bad_draft_is_refused(cast: Cast, name: str, days: int) -> None:
    with scope.within(cast.organization.id), pytest.raises(BadInput):
        draft(cast, name, days)


def test_a_name_stands_once(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        draft(cast)
        with pytest.raises(BadInput):
            draft(cast)


def test_only_the_newest_published_version_is_on_offer(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        version = draft(cast)
        assert publishing.on_offer() == []
        publishing.publish(version, by=cast.lead, now=NOW)
        assert publishing.on_offer() == [version]
        publishing.retire(version.template, by=cast.lead, now=NOW)
        assert publishing.on_offer() == []


def test_every_starter_can_be_prescribed_as_it_is(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        made = publishing.add_starters(cast.organization, by=cast.lead, now=NOW)
        assert len(made) == len(library.starters())
        for version in made:
            program = prescribing.prescribe(
                cast.client,
                plans.from_content(version.content, today=NOW.date()),
                start(),
                by=cast.clinician,
                now=NOW,
                version=version,
            )
            prescribing.stop(program, by=cast.clinician, now=NOW)
