"""Enrolling: person, number and consent together, or nothing at all."""

from __future__ import annotations

from typing import Any

import pytest

from clinic import access, enrolling, scope
from clinic.errors import BadInput
from clinic.models import AuditEntry, Client, ConsentEvent, PhoneNumber
from tests.cast import CONSENT, NOW, NUMBER, Cast, enroll


def refused(cast: Cast, **changes: Any) -> BadInput:
    with scope.within(cast.organization.id):
        before = Client.objects.count()
        with pytest.raises(BadInput) as caught:
            enroll(cast.site, cast.clinician, **changes)
        assert Client.objects.count() == before
    return caught.value


def test_a_client_starts_pending_with_consent_on_record(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        event = ConsentEvent.objects.get()
        assert (event.kind, event.wording, event.by) == (
            "recorded",
            CONSENT,
            cast.clinician,
        )
        assert cast.client.monitoring == "pending"
        assert AuditEntry.objects.filter(action="client.enrolled").count() == 1


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("number", "555-0143"),
        ("number", "+15555550100"),
        ("number", "call me"),
        ("number", ""),
        ("language", "xx"),
        ("time_zone", "Mars/Olympus"),
        ("time_zone", "../etc/passwd"),
        ("name", "   "),
        ("name", "\x00"),
        ("name", "x" * 121),
        ("consent_wording", "  "),
    ],
)
def test_a_wrong_value_names_its_field_and_keeps_nothing(
    cast: Cast, field: str, value: str
) -> None:
    error = refused(cast, **{"number": "+12025550155", field: value})
    assert error.field == field
    assert len(str(error)) > 20


def test_a_national_number_is_read_in_the_site_s_country(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        client = enroll(cast.site, cast.clinician, number="(202) 555-0155")
        phone = access.current_number(client)
        assert phone is not None
        assert phone.number == "+12025550155"


def test_two_clients_may_share_a_number(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        enroll(cast.site, cast.clinician, name="Tomas Calder")
        assert PhoneNumber.objects.count() == 1
        assert Client.objects.count() == 2


def test_the_same_number_in_another_organization_is_another_row(cast: Cast) -> None:
    with scope.within(cast.other_organization.id):
        enroll(cast.other_site, cast.outsider, number=NUMBER)
        assert PhoneNumber.objects.count() == 1
    assert PhoneNumber.objects.across("test").count() == 2


def test_a_changed_number_leaves_the_old_one_s_history(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        enrolling.change_number(cast.client, "+12025550155", by=cast.desk, now=NOW)
        phone = access.current_number(cast.client)
        assert phone is not None
        assert phone.number == "+12025550155"
        assert cast.client.numbers.count() == 2
