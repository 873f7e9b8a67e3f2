"""Webhook signatures: published cases, and the traps around the library's check."""

import base64
import hashlib
import hmac
import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from twilio.request_validator import RequestValidator

from reminders.gateways.signature import is_signed

FIXTURE = Path(__file__).parents[2] / "fixtures" / "signature.json"
FACTS = json.loads(FIXTURE.read_text(encoding="utf-8"))
CASES: list[dict[str, Any]] = FACTS["cases"]
TOKEN: str = FACTS["auth_token"]
FORMS = [case for case in CASES if "params" in case]
JSON_BODIES = [case for case in CASES if "body" in case]
BASE = FORMS[0]


def pairs(case: dict[str, Any]) -> list[tuple[str, str]]:
    return [(name, value) for name, value in case["params"]]


def settings(case: dict[str, Any]) -> str | None:
    if case["algorithm"] == "HMAC_SHA1":
        return None
    return f"key=webhooks_sharedkey_1,algorithm={case['algorithm']}"


def by_hand(url: str, params: list[tuple[str, str]], token: str) -> str:
    joined = url + "".join(name + value for name, value in sorted(set(params)))
    mac = hmac.new(token.encode(), joined.encode(), hashlib.sha1)
    return base64.b64encode(mac.digest()).decode()


def test_all_published_cases_are_here() -> None:
    assert (len(FORMS), len(JSON_BODIES)) == (15, 2)


@pytest.mark.parametrize("case", FORMS, ids=[case["id"] for case in FORMS])
def test_form_case_is_accepted_or_refused(case: dict[str, Any]) -> None:
    found = is_signed(
        case["url"],
        pairs(case),
        case["signature"],
        [TOKEN],
        settings_header=settings(case),
    )
    assert found is case["valid"]


@pytest.mark.parametrize("case", JSON_BODIES, ids=[case["id"] for case in JSON_BODIES])
def test_json_body_case_passes_the_library_itself(case: dict[str, Any]) -> None:
    validator = RequestValidator(TOKEN)
    found = validator.validate(case["url"], case["body"], case["signature"])
    assert found is case["valid"]


def test_missing_header_is_refused() -> None:
    assert is_signed(BASE["url"], pairs(BASE), None, [TOKEN]) is False


def test_every_token_counts_during_rotation() -> None:
    request = (BASE["url"], pairs(BASE), BASE["signature"])
    assert is_signed(*request, ["fresh-token", TOKEN]) is True
    assert is_signed(*request, ["fresh-token"]) is False
    assert is_signed(*request, []) is False


def test_an_unset_token_never_validates() -> None:
    forged = by_hand(BASE["url"], pairs(BASE), "")
    assert is_signed(BASE["url"], pairs(BASE), forged, [""]) is False


def test_an_unknown_algorithm_is_refused() -> None:
    request = (BASE["url"], pairs(BASE), BASE["signature"])
    assert is_signed(*request, [TOKEN], settings_header="algorithm=NONE") is False


def test_lone_surrogates_are_refused_without_an_error() -> None:
    request = (BASE["url"], [("Body", "\ud83d")], BASE["signature"])
    assert is_signed(*request, [TOKEN]) is False


@given(
    st.lists(st.tuples(st.sampled_from(["Body", "From", "To", "Zip"]), st.text())),
    st.text(),
)
def test_signing_by_hand_agrees_and_any_change_breaks_it(
    params: list[tuple[str, str]], added: str
) -> None:
    url = "https://clinic.example/sms/inbound"
    signature = by_hand(url, params, TOKEN)
    assert is_signed(url, params, signature, [TOKEN])
    assert not is_signed(url, [*params, ("Added", added)], signature, [TOKEN])
