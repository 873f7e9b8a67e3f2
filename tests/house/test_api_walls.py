"""Walls of the API: every method of every address, by role, by site, by organization.

What must come back is worked out from the role table, not written down per address.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.core.cache import cache
from django.db import transaction

from clinic import scope
from clinic.logic import roles
from clinic.models import Client, Staff
from programs.models import HomeProgram
from programs.models import programs as program_states
from reminders.models import Outbound
from tests.api import Api
from tests.cast import Cast
from tests.house.api_world import (
    Call,
    Rows,
    body,
    calls,
    far_client,
    random_ids,
    rows_of,
)

# Organization-wide people of the cast: every site is theirs.
EVERYWHERE = (roles.OWNER, roles.AUDITOR)
# Rows that belong to the organization or to a person, not to a site.
NO_SITE = {
    "template_id",
    "version_id",
    "staff_id",
    "grant_id",
    "token_id",
}


@pytest.fixture
def own(cast: Cast) -> Rows:
    _confirm(cast.client)
    return rows_of(cast.site, cast.clinician, cast.client)


@pytest.fixture
def far(cast: Cast) -> Rows:
    client = far_client(cast.far_site, cast.far_clinician)
    _confirm(client)
    return rows_of(cast.far_site, cast.far_clinician, client)


@pytest.fixture
def foreign(cast: Cast) -> Rows:
    client = far_client(cast.other_site, cast.outsider)
    _confirm(client)
    return rows_of(cast.other_site, cast.outsider, client)


def test_without_a_token_every_call_is_answered_401(own: Rows) -> None:
    nobody = Api(None)
    for call in calls():
        cache.clear()
        assert answered(nobody, call, own) == 401, call


@pytest.mark.parametrize("role", roles.ROLES)
def test_at_the_own_site_the_role_table_decides(
    cast: Cast, own: Rows, role: str
) -> None:
    api = Api(person(cast, role))
    wrong = walk(api, own, lambda call: expected(call, role))
    assert not wrong


@pytest.mark.parametrize("role", roles.ROLES)
def test_another_site_is_absent_but_for_people_of_every_site(
    cast: Cast, own: Rows, far: Rows, role: str
) -> None:
    api = Api(person(cast, role))
    wrong = walk(api, far, lambda call: at_far_site(call, role), only=of_a_site)
    assert not wrong


@pytest.mark.parametrize("role", roles.ROLES)
def test_another_organization_is_absent_for_everybody(
    cast: Cast, own: Rows, foreign: Rows, role: str
) -> None:
    api = Api(person(cast, role))
    before = fingerprint(cast)
    wrong = walk(api, foreign, lambda call: abroad(call, role), only=names_a_row)
    assert not wrong
    assert fingerprint(cast) == before


def test_a_foreign_row_and_one_that_never_was_are_answered_alike(
    cast: Cast, own: Rows, foreign: Rows
) -> None:
    api = Api(cast.clinician)
    for call in filter(names_a_row, calls()):
        cache.clear()
        theirs = answer(api, call, foreign).content
        assert theirs == answer(api, call, random_ids(foreign)).content, call


def test_references_in_bodies_reach_only_the_own_site(
    cast: Cast, own: Rows, far: Rows, foreign: Rows
) -> None:
    api = Api(cast.clinician)
    for strange in (far, foreign):
        for name in ("enroll_client", "find_clients"):
            call = next(call for call in calls() if call.contract.name == name)
            assert answered(api, call, strange) == 404
        mixed = body("enroll_client", own) | {"clinician": str(strange.clinician.id)}
        assert api.post("enrollments", mixed).status_code == 404
        theirs = str(strange.ids["version_id"])
        chosen = body("prescribe", own) | {"template_version": theirs}
        with undone():
            without_program(own)
            found = api.post(f"clients/{own.client.id}/programs", chosen)
            # A template is the organization's, but a draft cannot be prescribed.
            assert found.status_code == (400 if strange is far else 404)


def test_every_operation_of_the_table_but_pages_has_an_address() -> None:
    served = {call.contract.operation for call in calls()} | {"schema.view"}
    assert set(roles.OPERATIONS) - served == {"settings.view"}


def without_program(rows: Rows) -> None:
    """The client's program is over: another one may be prescribed."""
    with scope.within(rows.site.organization_id):
        HomeProgram.objects.filter(client=rows.client).update(
            state=program_states.STOPPED
        )


def expected(call: Call, role: str) -> int:
    """What the call must be answered with at the caller's own site."""
    if not roles.carries(role, call.contract.operation) or call.contract.by_page:
        return 403
    if call.contract.name == "open_site" and role not in EVERYWHERE:
        return 403
    special = {
        # The rows named are another person's own, or the caller's last role.
        "revoke_token": 404 if role != roles.CLINICIAN else 204,
        # The client is on a program already.
        "prescribe": 409,
    }
    found = special.get(call.contract.name)
    return found or (204 if call.contract.gives is None else call.contract.status)


def at_far_site(call: Call, role: str) -> int:
    """The same at another site of the organization."""
    if role in EVERYWHERE:
        return expected(call, role)
    return 403 if expected(call, role) == 403 else 404


def abroad(call: Call, role: str) -> int:
    """The same at another organization."""
    return 403 if expected(call, role) == 403 else 404


def walk(
    api: Api,
    rows: Rows,
    want: Callable[[Call], int],
    *,
    only: Callable[[Call], bool] = lambda call: True,
) -> list[str]:
    """Every call with the rows; the ones answered otherwise than wanted."""
    wrong = []
    for call in filter(only, calls()):
        cache.clear()
        found = answer(api, call, rows)
        if found.status_code != want(call):
            wrong.append(
                f"{call.method} {call.route}: {found.status_code}, want {want(call)}:"
                f" {found.content[:200]!r}"
            )
    return wrong


def of_a_site(call: Call) -> bool:
    """Whether the address names a row that belongs to one site."""
    named = set(re.findall(r"<uuid:(\w+)>", call.route))
    return bool(named) and not named & NO_SITE


def names_a_row(call: Call) -> bool:
    """Whether the address names a row by an id."""
    return call.names_a_row


def answered(api: Api, call: Call, rows: Rows) -> int:
    """The status of the answer."""
    return int(answer(api, call, rows).status_code)


def answer(api: Api, call: Call, rows: Rows) -> Any:
    """The answer to one call, whose writes are taken back."""
    with undone():
        sent = {} if call.method == "get" else body(call.contract.name, rows)
        return api.call(call.method, call.path(rows), sent)


@contextmanager
def undone() -> Iterator[None]:
    """Whatever the block writes is taken back."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def person(cast: Cast, role: str) -> Staff:
    """The cast's person of a role at Elm Row."""
    found: Staff = getattr(
        cast, {"site_lead": "lead", "front_desk": "desk"}.get(role, role)
    )
    return found


def fingerprint(cast: Cast) -> tuple[Any, ...]:
    """Everything of the other organization that a call could have touched."""
    with scope.within(cast.other_organization.id):
        return (
            list(Client.objects.values_list("pk", "monitoring", "language")),
            list(HomeProgram.objects.values_list("pk", "state")),
            Outbound.objects.count(),
        )


def _confirm(client: Client) -> None:
    """The client answered the first text: they may be texted."""
    rows = Client.objects.across("the test's own client").filter(pk=client.pk)
    rows.update(monitoring="active")
    client.monitoring = "active"
