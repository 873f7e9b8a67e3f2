"""Bad input to the API: refused by name, never repeated at length, never a 500."""

from __future__ import annotations

import json
from typing import Any

import pytest
import time_machine
from django.test import Client as Browser

from tests.api import Api, problem
from tests.cast import NOW, Cast

CONTACT = {"name": "Ines Calder", "language": "en"}


@pytest.fixture
def api(cast: Cast) -> Api:
    return Api(cast.clinician)


@pytest.fixture
def path(cast: Cast) -> str:
    return f"clients/{cast.client.id}"


def raw(api: Api, method: str, path: str, body: bytes, kind: str = "") -> Any:
    browser = Browser(headers=api.headers)
    with time_machine.travel(NOW, tick=False):
        return browser.generic(
            method, f"/api/v1/{path}", body, kind or "application/json"
        )


@pytest.mark.parametrize(
    "key", ["organization", "site", "monitoring", "id", "created_at", "nonsense"]
)
def test_a_key_that_is_no_field_is_refused_by_name(
    api: Api, path: str, key: str
) -> None:
    found = problem(api.patch(path, CONTACT | {key: "x"}), 400)
    assert found["errors"] == {key: ["This is not a field here: remove it."]}


def test_an_unknown_parameter_is_refused_by_name(api: Api) -> None:
    found = problem(api.get("clients", monituring="active"), 400)
    assert list(found["errors"]) == ["monituring"]


def test_a_token_in_the_address_is_no_sign_in(api: Api) -> None:
    token = api.headers["Authorization"].removeprefix("Bearer ")
    problem(Api(None).get("me", token=token), 401)


@pytest.mark.parametrize(
    "body",
    [
        b'{"name": "\\u0000"}',
        b'{"name": "\\ud800"}',
        b'{"\\udfff": "x"}',
        b'{"name": ["\\ud83d"]}',
    ],
)
def test_nul_and_half_characters_are_refused(api: Api, path: str, body: bytes) -> None:
    assert problem(raw(api, "PATCH", path, body), 400)["code"] == "parse_error"


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"\xff\xfe",
        b"[" * 100_000,
        b'{"a":' * 40 + b"1" + b"}" * 40,
        b'{"pain": NaN}',
        b'{"pain": Infinity}',
        b"1" * 5000,
        b"null",
        b'"text"',
        b"[]",
    ],
)
def test_a_body_that_is_no_object_is_refused(api: Api, body: bytes) -> None:
    found = raw(api, "POST", "enrollments", body)
    assert found.status_code == 400, found.content
    assert len(found.content) < 2000


def test_a_body_over_one_megabyte_is_refused_unread(api: Api) -> None:
    body = json.dumps({"name": "x" * 1_100_000}).encode()
    assert problem(raw(api, "POST", "enrollments", body), 413)["code"] == "too_large"


def test_forms_and_files_are_not_taken(api: Api) -> None:
    kind = "multipart/form-data; boundary=x"
    problem(raw(api, "POST", "enrollments", b"--x--", kind), 415)


def test_bad_input_is_not_carried_back_at_length(api: Api, path: str) -> None:
    found = api.patch(path, {"language": "x" * 100_000, "y" * 100_000: 1})
    assert len(found.content) < 1000
    named = api.patch(path, {f"key {n}": 1 for n in range(5000)})
    assert len(named.content) < 2000


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name", 7),
        ("name", True),
        ("name", None),
        ("name", ""),
        ("name", "x" * 121),
        ("language", "de"),
        ("language", ["en"]),
        ("language", {}),
        ("time_zone", "Mars/Olympus"),
        ("time_zone", "../../etc/passwd"),
        ("time_zone", ""),
        ("clinician", "not-an-id"),
        ("clinician", 7),
    ],
)
def test_a_wrong_value_is_refused_with_its_field(
    api: Api, path: str, field: str, value: Any
) -> None:
    found = problem(api.patch(path, {field: value}), 400)
    assert list(found["errors"]) == [field]


@pytest.mark.parametrize(
    "name", ["Zoë Ångström", "李小龍", "😀", "أحمد", "a\u200bb", "e" + "\u0301" * 40]
)
def test_names_as_people_write_them_are_kept(api: Api, path: str, name: str) -> None:
    assert api.patch(path, {"name": name}).json()["name"] == name


@pytest.mark.parametrize(
    "path",
    [
        "clients/7",
        "clients/not-an-id",
        "clients/%00",
        "clients/%ed%a0%80",
        "clients/01890000-0000-7000-8000-00000000000g",
        "nowhere",
        "clients/",
        "exercises/no_such",
        "exercises/..%2f..%2fetc",
    ],
)
def test_an_address_of_nothing_is_absent(api: Api, path: str) -> None:
    assert problem(api.get(path), 404)["code"] == "not_found"


def test_an_absent_address_tells_strangers_nothing() -> None:
    problem(Api(None).get("nowhere"), 401)


def test_a_method_an_address_has_not_is_405(api: Api, path: str) -> None:
    problem(api.delete(path), 405)
    problem(api.put("me", {}), 405)


@pytest.mark.parametrize(
    "header", ["Bearer", "Bearer x y", "Bearer \xe9", "Basic eA=="]
)
def test_a_broken_sign_in_is_401(header: str, db: None) -> None:
    api = Api(None)
    api.headers = {"Authorization": header}
    found = api.get("me")
    problem(found, 401)
    assert found["WWW-Authenticate"] == "Bearer"


def test_a_cursor_from_elsewhere_is_no_fault_of_ours(api: Api, path: str) -> None:
    assert api.get("clients", cursor="bm8=").status_code in (200, 404)
    for cursor in ("%%%", "bm8=", "W10=", "WyIyMDI2IiwgIngiXQ=="):
        problem(api.get(f"{path}/messages", cursor=cursor), 400)


def test_more_than_a_thousand_parameters_are_refused(api: Api) -> None:
    query = "&".join(f"a{n}=1" for n in range(1200))
    problem(raw(api, "GET", f"clients?{query}", b""), 400)
