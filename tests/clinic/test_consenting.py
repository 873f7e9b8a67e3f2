"""Consent: only the client withdraws and resumes; it sits on the number."""

from __future__ import annotations

from uuid import uuid4

from clinic import access, consenting, enrolling, scope
from clinic.models import Client, PhoneNumber
from tests.cast import NOW, Cast, enroll


def phone_of(client: Client) -> PhoneNumber:
    phone = access.current_number(client)
    assert phone is not None
    return phone


def test_the_first_answer_makes_a_client_active(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        phone = phone_of(cast.client)
        consenting.confirm(cast.client, phone, inbound=uuid4(), now=NOW)
        assert (cast.client.monitoring, cast.client.monitored_since) == ("active", NOW)


def test_an_opt_out_ends_every_client_of_the_number(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        enroll(cast.site, cast.clinician, name="Tomas Calder")
        ended = consenting.withdraw(phone_of(cast.client), inbound=uuid4(), now=NOW)
        assert len(ended) == 2
        reasons = Client.objects.values_list("ended_reason", flat=True)
        assert set(reasons) == {"opted_out"}


def test_an_opt_out_survives_enrolling_the_number_again(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        consenting.withdraw(phone_of(cast.client), inbound=uuid4(), now=NOW)
        phone = PhoneNumber.objects.get()
        assert not phone.may_receive
        assert phone_row_again(cast).opted_out_at == NOW


def phone_row_again(cast: Cast) -> PhoneNumber:
    return enrolling.number_of(cast.site, "+12025550143")


def test_resuming_does_not_bring_back_a_discharged_client(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        phone = phone_of(cast.client)
        consenting.end_monitoring(
            cast.client, "discharged", actor=cast.clinician, now=NOW
        )
        consenting.resume(phone, inbound=uuid4(), now=NOW)
        cast.client.refresh_from_db()
        assert cast.client.ended_reason == "discharged"


def test_a_wrong_number_stops_and_is_remembered(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        phone = phone_of(cast.client)
        consenting.mark_wrong(phone, inbound=uuid4(), now=NOW)
        cast.client.refresh_from_db()
        assert cast.client.ended_reason == "wrong_number"
        assert not phone.may_receive
