"""Accounts and roles: clear refusals, an audit line each, never without an owner."""

from __future__ import annotations

import pytest

from clinic import access, scope, staffing
from clinic.errors import BadInput, Conflict
from clinic.models import AuditEntry, RoleGrant, Staff
from tests.cast import NOW, PASSWORD, Cast


def add(cast: Cast, **changes: str) -> Staff:
    values = {
        "email": "new@harrow.example",
        "name": "New Person",
        "password": PASSWORD,
    } | changes
    return staffing.add_staff(cast.organization, by=cast.owner, now=NOW, **values)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("email", "no address"),
        ("email", "owner@harrow.example"),
        ("name", "  "),
        ("password", "short"),
        ("password", "123456789987654321"),
        ("password", "new@harrow.example"),
    ],
)
def test_a_refused_account_names_the_field(cast: Cast, field: str, value: str) -> None:
    with pytest.raises(BadInput) as caught:
        add(cast, **{field: value})
    assert caught.value.field == field


def test_a_new_account_may_do_nothing_until_it_has_a_role(cast: Cast) -> None:
    staff = add(cast)
    with scope.within(cast.organization.id):
        assert access.operations_of(staff) == frozenset()
        staffing.grant(staff, "clinician", cast.site, by=cast.owner, now=NOW)
        assert access.may(staff, "triage.view")


def test_granting_twice_changes_nothing(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        before = AuditEntry.objects.count()
        staffing.grant(cast.desk, "front_desk", cast.site, by=cast.owner, now=NOW)
        assert AuditEntry.objects.count() == before


def test_an_unknown_role_is_refused(cast: Cast) -> None:
    with pytest.raises(BadInput):
        staffing.grant(cast.desk, "wizard", cast.site, by=cast.owner, now=NOW)


def test_the_last_owner_keeps_the_role(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        grant = RoleGrant.objects.get(role="owner")
        with pytest.raises(Conflict):
            staffing.revoke(grant, by=cast.owner, now=NOW)


def test_a_closed_account_may_do_nothing_from_the_next_look_on(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        staffing.deactivate(cast.clinician, by=cast.owner, now=NOW)
        cast.clinician.refresh_from_db()
        assert access.operations_of(cast.clinician) == frozenset()
        assert not access.may(cast.clinician, "triage.view")


def test_nobody_closes_their_own_account(cast: Cast) -> None:
    with scope.within(cast.organization.id), pytest.raises(Conflict):
        staffing.deactivate(cast.owner, by=cast.owner, now=NOW)
