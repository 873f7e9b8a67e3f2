"""No query on clinic data exists without an organization."""

from __future__ import annotations

import pytest
from django.apps import apps
from django.db import models

from clinic import scope
from clinic.errors import Unscoped
from clinic.models import AuditEntry, ConsentEvent, Organization, RoleGrant
from tests.cast import Cast

# Sign-in comes before a scope is known; the head is locked by its primary key.
EXEMPT = {"Staff", "AuditHead"}
OWNED = [
    model
    for model in apps.get_models()
    if model._meta.app_label in ("clinic", "programs", "reminders")
    and any(field.name == "organization" for field in model._meta.fields)
    and model.__name__ not in EXEMPT
]


@pytest.mark.parametrize("model", OWNED, ids=lambda model: model.__name__)
def test_an_unscoped_query_is_refused(model: type[models.Model]) -> None:
    with pytest.raises(Unscoped):
        model._default_manager.all()


@pytest.mark.parametrize("model", OWNED, ids=lambda model: model.__name__)
def test_crossing_organizations_needs_a_reason(model: type[models.Model]) -> None:
    with pytest.raises(Unscoped):
        model._default_manager.across("")


def test_the_scope_shows_only_its_own_rows(cast: Cast) -> None:
    with scope.within(cast.other_organization.id):
        own = {grant.organization_id for grant in RoleGrant.objects.all()}
    assert own == {cast.other_organization.id}


def test_a_row_of_another_organization_is_not_saved_in_this_scope(cast: Cast) -> None:
    with scope.within(cast.other_organization.id), pytest.raises(Unscoped):
        cast.client.save()


def test_a_related_set_is_scoped_as_well(cast: Cast) -> None:
    with pytest.raises(Unscoped):
        cast.site.clients.all()


@pytest.mark.parametrize("model", [AuditEntry, ConsentEvent])
def test_append_only_rows_cannot_be_changed(
    cast: Cast, model: type[models.Model]
) -> None:
    with scope.within(cast.organization.id):
        row = model._default_manager.first()
        assert row is not None
        with pytest.raises(TypeError):
            row.save()
        with pytest.raises(TypeError):
            row.delete()
        with pytest.raises(TypeError):
            model._default_manager.all().update(organization=cast.other_organization)
        with pytest.raises(TypeError):
            model._default_manager.all().delete()


def test_the_scope_ends_with_its_block(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        assert scope.current() == cast.organization.id
    assert scope.active() is None
    assert Organization.objects.count() == 2
