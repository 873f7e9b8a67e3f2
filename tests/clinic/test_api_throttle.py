"""Too many calls wait: by person, by what they set off, by failed sign-in."""

from __future__ import annotations

from datetime import timedelta

from tests.api import Api, problem
from tests.cast import Cast


def test_a_person_waits_after_six_hundred_calls_a_minute(cast: Cast) -> None:
    api = Api(cast.clinician)
    for _ in range(600):
        assert api.get("exercises/press_up").status_code == 200
    refused = api.get("exercises/press_up")
    assert problem(refused, 429)["code"] == "throttled"
    assert 1 <= int(refused["Retry-After"]) <= 61
    assert Api(cast.clinician).get("me").status_code == 429  # another device, same one
    assert Api(cast.lead).get("me").status_code == 200
    api.now += timedelta(seconds=int(refused["Retry-After"]) + 1)
    assert api.get("me").status_code == 200


def test_searching_by_number_is_rarer_than_reading(cast: Cast) -> None:
    api = Api(cast.desk)
    body = {"number": "+12025550143", "site": str(cast.site.id)}
    for _ in range(60):
        assert api.post("clients/search", body).status_code == 200
    problem(api.post("clients/search", body), 429)
    assert api.get("clients").status_code == 200


def test_failed_sign_ins_wait_and_valid_ones_do_not(cast: Cast) -> None:
    stranger, api = Api(None), Api(cast.clinician)
    stranger.headers = {"Authorization": "Bearer nonsense"}
    for _ in range(60):
        problem(stranger.get("me"), 401)
    stranger.headers["X-Forwarded-For"] = "203.0.113.7"
    assert "Retry-After" in stranger.get("me")
    problem(stranger.get("me"), 429)
    assert api.get("me").status_code == 200
