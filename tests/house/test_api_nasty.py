"""Every value of every body, replaced by what breaks code: refused, never a fault."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

import pytest
from django.core.cache import cache

from clinic.logic import roles
from tests.api import Api
from tests.cast import Cast
from tests.house.api_world import Call, Rows, body, calls
from tests.house.test_api_walls import own, person, undone

__all__ = ["own"]  # the fixture

NASTY: tuple[Any, ...] = (
    None,
    True,
    2**70,
    1.5e300,
    "",
    "x" * 3000,
    "e" + "\u0301" * 800,
    "\u202egnp.exe\u2069",
    "01890000-0000-7000-8000-000000000000",
    [],
    {},
    {"": ""},
)
LONGEST_REFUSAL = 2000


def places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Where a body holds a value, inner and outer ones."""
    if path:
        yield path
    inner: Any = ()
    if isinstance(value, dict):
        inner = value.items()
    elif isinstance(value, list):
        inner = enumerate(value[:1])
    for key, one in inner:
        yield from places(one, (*path, key))


def replaced(value: Any, path: tuple[Any, ...], by: Any) -> Any:
    """The body with another value at a place."""
    changed = copy.deepcopy(value)
    target = changed
    for key in path[:-1]:
        target = target[key]
    target[path[-1]] = by
    return changed


def caller(cast: Cast, call: Call) -> Api:
    """Somebody at Elm Row who may make the call."""
    carriers = roles.roles_for(call.contract.operation)
    return Api(person(cast, next(role for role in roles.ROLES if role in carriers)))


@pytest.mark.parametrize(
    "name", sorted(call.contract.name for call in calls() if call.method != "get")
)
def test_no_value_of_a_body_is_a_fault_of_ours(
    cast: Cast, own: Rows, name: str
) -> None:
    call = next(call for call in calls() if call.contract.name == name)
    api, good = caller(cast, call), body(name, own)
    if good is None:
        good = {}
    for path in [*places(good), ("unknown",)]:
        for value in NASTY:
            cache.clear()
            with undone():
                sent = replaced(good, path, value)
                found = api.call(call.method, call.path(own), sent)
            assert found.status_code < 500, (path, value)
            if found.status_code >= 400:
                assert len(found.content) < LONGEST_REFUSAL, (path, value)


@pytest.mark.parametrize("value", ["%00", "%ed%a0%80", "x" * 2000, "-1", "[]", "*", ""])
def test_no_value_of_a_parameter_is_a_fault_of_ours(
    cast: Cast, own: Rows, value: str
) -> None:
    for call in calls():
        if call.method != "get":
            continue
        api = caller(cast, call)
        names = {"cursor", "page_size"} if call.contract.paged else set()
        if call.contract.filters is not None:
            names |= set(call.contract.filters.base_filters)
        for name in names:
            cache.clear()
            found = api.get(f"{call.path(own)}?{name}={value}")
            assert found.status_code in (200, 400, 404), (call, name)


def test_head_and_options_ask_for_the_same_operation(cast: Cast, own: Rows) -> None:
    desk, reader = Api(cast.desk), Api(cast.auditor)
    for method in ("head", "options"):
        assert desk.call(method, "alerts", None).status_code == 403
        assert reader.call(method, "alerts", None).status_code == 200
        assert Api(None).call(method, "alerts", None).status_code == 401
