"""Enrolling on one page: consent in the client's language, the first text, refusals."""

from __future__ import annotations

from typing import Any

import pytest

from clinic import consenting, enrolling, scope
from clinic.models import Client, PhoneNumber
from reminders import consent_words
from reminders import enrolling as first_text
from reminders.models import Outbound
from tests.browsing import LONE_SURROGATE, page_of, post_raw, signed_in
from tests.cast import NOW, NUMBER, Cast

NEW_NUMBER = "+12025550144"


def form(cast: Cast, **changes: Any) -> dict[str, Any]:
    values = {
        "do": "enroll",
        "site": str(cast.site.id),
        "name": "Noor Hallam",
        "number": "202-555-0144",
        "clinician": str(cast.clinician.id),
        "language": "en",
        "time_zone": "America/New_York",
        "consent_wording": consent_words.stock(cast.site, "en"),
    }
    return values | changes


def post(cast: Cast, role: str = "desk", **changes: Any) -> Any:
    return signed_in(getattr(cast, role)).post("/enroll", form(cast, **changes))


def enrolled(cast: Cast) -> Client | None:
    with scope.within(cast.organization.id):
        return Client.objects.exclude(pk=cast.client.pk).first()


def test_the_front_desk_enrolls_and_the_first_text_waits_in_the_outbox(
    cast: Cast,
) -> None:
    answer = post(cast)
    client = enrolled(cast)
    assert client is not None
    assert answer.url == f"/clients/{client.id}"
    with scope.within(cast.organization.id):
        text = Outbound.objects.get(client=client)
        assert text.kind == "welcome"
        assert client.consent.get().wording == consent_words.stock(cast.site, "en")
        assert client.monitoring == "pending"


def test_a_clinician_goes_on_to_the_program(cast: Cast) -> None:
    answer = post(cast, "clinician")
    client = enrolled(cast)
    assert client is not None
    assert answer.url == f"/clients/{client.id}/program/new"


def test_a_clinician_who_enrolls_is_the_first_guess(cast: Cast) -> None:
    own = f'<option value="{cast.clinician.id}" selected>'
    assert own in page_of(signed_in(cast.clinician).get("/enroll"))
    assert own not in page_of(signed_in(cast.desk).get("/enroll"))


def test_the_page_starts_with_the_site_s_zone_and_words_and_counts_the_text(
    cast: Cast,
) -> None:
    page = page_of(signed_in(cast.desk).get("/enroll"))
    assert 'value="America/New_York"' in page
    assert "they are not encrypted" in page
    assert "2 parts" in page
    assert "call 911" in page


def test_another_language_brings_its_words_and_keeps_the_rest(cast: Cast) -> None:
    page = page_of(post(cast, do="refresh", language="es"))
    assert "Acepto que Elm Row" in page
    assert 'value="Noor Hallam"' in page
    assert enrolled(cast) is None


def test_edited_words_are_never_exchanged(cast: Cast) -> None:
    own = "I agree, said at the desk."
    assert own in page_of(post(cast, do="refresh", language="es", consent_wording=own))
    post(cast, language="es", consent_wording=own)
    client = enrolled(cast)
    assert client is not None
    with scope.within(cast.organization.id):
        assert client.consent.get().wording == own


def test_stock_words_of_another_language_are_refused_with_the_right_ones(
    cast: Cast,
) -> None:
    answer = post(cast, language="fr")
    assert answer.status_code == 400
    assert "words were those of another language" in page_of(answer)
    assert "Elm Row m&#x27;envoie des SMS" in page_of(answer)
    assert enrolled(cast) is None


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"number": "12"}, "too few or too many digits"),
        ({"number": "555-0143"}, "No such number is in use"),
        ({"number": "ask mother"}, "This is not a phone number"),
        ({"number": "202-555-0144 ext 5"}, "An extension cannot get texts"),
        ({"number": "+1" + "2" * 39}, "at most 40"),
        ({"name": ""}, "required"),
        ({"name": "N\x00oor"}, "a sign that cannot be kept"),
        ({"name": "x" * 121}, "at most 120"),
        ({"language": "tlh"}, "Select a valid choice"),
        ({"time_zone": "Mars/Base"}, "This time zone is not known"),
        ({"time_zone": "../../etc/passwd"}, "This time zone is not known"),
        ({"clinician": ""}, "required"),
        ({"consent_wording": " "}, "required"),
    ],
)
def test_a_wrong_value_is_refused_beside_its_field_and_nothing_is_lost(
    cast: Cast, changes: dict[str, str], said: str
) -> None:
    answer = post(cast, **changes)
    page = page_of(answer)
    assert answer.status_code == 400
    assert said in page
    assert "Noor Hallam" in page or "name" in changes
    assert "202-555-0144" in page or "number" in changes
    assert enrolled(cast) is None


def test_half_a_character_in_a_name_is_refused(cast: Cast) -> None:
    answer = post_raw(
        signed_in(cast.desk), "/enroll", b"do=enroll&name=N" + LONE_SURROGATE
    )
    assert "a sign that cannot be kept" in page_of(answer)


def test_a_clinician_of_another_site_is_refused(cast: Cast) -> None:
    answer = post(cast, "owner", clinician=str(cast.far_clinician.id))
    assert "Choose a clinician of Elm Row" in page_of(answer)
    assert enrolled(cast) is None


def test_a_number_that_reaches_somebody_is_asked_about_first(cast: Cast) -> None:
    answer = post(cast, number=NUMBER)
    assert "Another client has this number" in page_of(answer)
    assert enrolled(cast) is None
    assert post(cast, number=NUMBER, share="on").status_code == 302
    assert enrolled(cast) is not None


def test_asking_about_a_number_leaves_no_row(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        before = PhoneNumber.objects.count()
        assert not first_text.is_taken(cast.site, NEW_NUMBER)
        assert PhoneNumber.objects.count() == before


def test_a_number_that_ended_the_texts_is_refused_beside_it(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        phone = enrolling.number_of(cast.site, NEW_NUMBER)
        consenting.withdraw(phone, inbound=None, now=NOW)
    answer = post(cast)
    assert answer.status_code == 400
    assert "only the person who has it can start them" in page_of(answer)
    assert enrolled(cast) is None


@pytest.mark.parametrize("site", ["far_site", "other_site"])
def test_a_site_that_is_not_yours_is_refused(cast: Cast, site: str) -> None:
    answer = post(cast, site=str(getattr(cast, site).id))
    assert answer.status_code == 400
    assert "Select a valid choice" in page_of(answer)


def test_the_auditor_may_not_enroll_nor_change_a_number(cast: Cast) -> None:
    browser = signed_in(cast.auditor)
    assert browser.get("/enroll").status_code == 403
    assert browser.get(f"/clients/{cast.client.id}/number").status_code == 403


def test_another_number_gets_the_first_text(cast: Cast) -> None:
    path = f"/clients/{cast.client.id}/number"
    browser = signed_in(cast.desk)
    wrong = browser.post(path, {"number": "12"})
    assert wrong.status_code == 400
    assert "too few or too many digits" in page_of(wrong)
    assert browser.post(path, {"number": "202-555-0144"}).status_code == 302
    with scope.within(cast.organization.id):
        rows = Outbound.objects.filter(client=cast.client, kind="welcome")
        assert {row.phone.number for row in rows} == {NUMBER, NEW_NUMBER}


@pytest.mark.parametrize("role", ["outsider", "far_clinician"])
def test_the_number_of_others_is_not_found(cast: Cast, role: str) -> None:
    path = f"/clients/{cast.client.id}/number"
    browser = signed_in(getattr(cast, role))
    assert browser.get(path).status_code == 404
    assert browser.post(path, {"number": NEW_NUMBER}).status_code == 404


def test_a_client_is_handed_over_to_a_clinician_of_the_site_only(cast: Cast) -> None:
    path = f"/clients/{cast.client.id}/clinician"
    browser = signed_in(cast.desk)
    wrong = browser.post(path, {"clinician": cast.far_clinician.id})
    assert wrong.status_code == 400
    assert "Select a valid choice" in page_of(wrong)
    assert browser.post(path, {"clinician": cast.lead.id}).status_code == 302
    with scope.within(cast.organization.id):
        cast.client.refresh_from_db()
    assert cast.client.clinician_id == cast.lead.id
    assert signed_in(cast.outsider).get(path).status_code == 404
    assert signed_in(cast.auditor).get(path).status_code == 403
