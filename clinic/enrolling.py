"""Enrolling clients: person, number and consent in one transaction."""

from __future__ import annotations

import zoneinfo
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from clinic import access, audit, consenting
from clinic.errors import BadInput
from clinic.fields import blind_index
from clinic.logic.phone import PhoneError, to_e164
from clinic.models import Client, ClientNumber, PhoneNumber, Site, Staff

LANGUAGES = ("en", "es", "fr")


@dataclass(frozen=True, slots=True)
class Enrollment:
    """What the front desk enters about a new client."""

    name: str
    number: str
    language: str
    time_zone: str
    consent_wording: str


@dataclass(frozen=True, slots=True)
class Contact:
    """What may be corrected about a client later; the number has its own writer."""

    name: str
    language: str
    time_zone: str
    clinician: Staff


@transaction.atomic
def enroll(
    site: Site, clinician: Staff, details: Enrollment, *, by: Staff, now: datetime
) -> Client:
    """Register the client, their number and their consent; raises BadInput.

    Nothing is texted here: the caller that sends the first text listens for it.
    """
    phone = number_of(site, details.number)
    client = Client(
        organization_id=site.organization_id,
        site=site,
        clinician=clinician,
        name=_clean_name(details.name),
        language=_known_language(details.language),
        time_zone=known_zone(details.time_zone),
        created_at=now,
    )
    if not details.consent_wording.strip():
        raise BadInput(
            "Write down the words in which the client agreed to texts.",
            field="consent_wording",
        )
    client.save(force_insert=True)
    _hold(client, phone, now)
    consenting.record_consent(
        client, phone, wording=details.consent_wording.strip(), by=by, now=now
    )
    audit.record("client.enrolled", client, actor=by, at=now, site=site.id)
    return client


@transaction.atomic
def change_number(client: Client, raw: str, *, by: Staff, now: datetime) -> PhoneNumber:
    """Give the client another number; the old one's opt-out stays with the old one."""
    phone = number_of(client.site, raw)
    ClientNumber.objects.filter(client=client, until__isnull=True).update(until=now)
    _hold(client, phone, now)
    audit.record("client.number_changed", client, actor=by, at=now, phone=phone.id)
    return phone


@transaction.atomic
def change_contact(
    client: Client, contact: Contact, *, by: Staff, now: datetime
) -> None:
    """Correct name, language, zone or clinician; raises BadInput.

    The audit line names the fields, not what stands in them.
    """
    values = {
        "name": _clean_name(contact.name),
        "language": _known_language(contact.language),
        "time_zone": known_zone(contact.time_zone),
        "clinician": contact.clinician,
    }
    changed = [name for name, value in values.items() if getattr(client, name) != value]
    for name in changed:
        setattr(client, name, values[name])
    if changed:
        client.save(update_fields=changed)
        audit.record("client.changed", client, actor=by, at=now, fields=changed)


@transaction.atomic
def hand_over(client: Client, clinician: Staff, *, by: Staff, now: datetime) -> None:
    """Name another clinician of the site for the client; raises BadInput."""
    if clinician not in access.clinicians_of(client.site):
        raise BadInput("Choose a clinician of the client's site.", field="clinician")
    client.clinician = clinician
    client.save(update_fields=["clinician"])
    audit.record("client.handed_over", client, actor=by, at=now, to=clinician.id)


def number_of(site: Site, raw: str) -> PhoneNumber:
    """The organization's row for a typed number, made when new; raises BadInput."""
    return phone_row(site.organization_id, _e164(site, raw))


def known_number(site: Site, raw: str) -> PhoneNumber | None:
    """The organization's row for a typed number if there is one; raises BadInput."""
    index = blind_index(_e164(site, raw))
    return PhoneNumber.objects.filter(number_index=index).first()


def phone_row(organization_id: object, e164: str) -> PhoneNumber:
    """The organization's row for a number in E.164, made when new."""
    index = blind_index(e164)
    row = PhoneNumber.objects.filter(number_index=index).first()
    if row is None:
        row = PhoneNumber(
            organization_id=organization_id, number=e164, number_index=index
        )
        row.save(force_insert=True)
    return row


def known_zone(name: str) -> str:
    """The zone's name, or BadInput when the IANA database does not have it."""
    try:
        zoneinfo.ZoneInfo(name)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise BadInput(
            "This time zone is not known: use a name such as America/New_York.",
            field="time_zone",
        ) from error
    return name


def _hold(client: Client, phone: PhoneNumber, now: datetime) -> None:
    ClientNumber.objects.create(
        organization_id=client.organization_id, client=client, phone=phone, since=now
    )


def _e164(site: Site, raw: str) -> str:
    try:
        return to_e164(raw, site.region)
    except PhoneError as error:
        raise BadInput(str(error), field="number") from error


def _known_language(code: str) -> str:
    if code not in LANGUAGES:
        raise BadInput(
            f"Texts are written in {', '.join(LANGUAGES)}: choose one.",
            field="language",
        )
    return code


def _clean_name(raw: str) -> str:
    name = " ".join(raw.replace("\x00", "").split())
    if not name or len(name) > 120:
        raise BadInput("Give the client's name, at most 120 letters.", field="name")
    return name
