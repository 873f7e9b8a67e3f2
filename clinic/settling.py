"""Sites: opening one, and changing its hours, numbers, closures and on-call chain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime, time
from typing import Any

from django.db import transaction

from clinic import audit, scope
from clinic.enrolling import LANGUAGES, known_zone
from clinic.errors import BadInput
from clinic.logic import duty_hours
from clinic.logic.phone import PhoneError, regions, to_e164
from clinic.models import OnCallEntry, Organization, Site, SiteClosure, Staff
from clinic.models.organizations import WEEKDAYS

# The longest each number may be, because every text is measured with it.
NUMBERS = {"emergency_number": 12, "crisis_line": 16, "call_back_number": 16}


@dataclass(frozen=True, slots=True)
class SiteDetails:
    """What a site lead sets; the emergency numbers have no default on purpose."""

    name: str
    short_name: str
    time_zone: str
    region: str
    language: str
    emergency_number: str
    crisis_line: str
    call_back_number: str
    hours: dict[str, list[list[str]]]
    quiet_from: time
    quiet_to: time
    page_wait_minutes: int = 10


@transaction.atomic
def open_site(
    organization: Organization, details: SiteDetails, *, by: Staff | str, now: datetime
) -> Site:
    """A new site of the organization; raises BadInput."""
    site = Site(organization=organization, **_checked(details))
    with scope.within(organization.id):
        _refuse_taken_name(site)
        site.save(force_insert=True)
        audit.record("site.opened", site, actor=by, at=now)
    return site


@transaction.atomic
def change_site(site: Site, details: SiteDetails, *, by: Staff, now: datetime) -> None:
    """Change a site's details; the audit line names the fields that changed."""
    values = _checked(details)
    changed = [name for name, value in values.items() if getattr(site, name) != value]
    for name in changed:
        setattr(site, name, values[name])
    _refuse_taken_name(site)
    site.save(update_fields=changed or None)
    audit.record("site.changed", site, actor=by, at=now, fields=changed)


@transaction.atomic
def close_on(site: Site, on: date, note: str, *, by: Staff, now: datetime) -> None:
    """Close the site on a day; reminders go on, times to act wait."""
    SiteClosure.objects.get_or_create(
        organization_id=site.organization_id,
        site=site,
        on=on,
        defaults={"note": note[:80]},
    )
    audit.record("site.closure_added", site, actor=by, at=now, on=on)


@transaction.atomic
def reopen_on(site: Site, on: date, *, by: Staff, now: datetime) -> None:
    """Take a closure back."""
    SiteClosure.objects.filter(site=site, on=on).delete()
    audit.record("site.closure_removed", site, actor=by, at=now, on=on)


@transaction.atomic
def set_on_call(
    site: Site,
    chain: Sequence[tuple[Staff, str]],
    *,
    by: Staff | str,
    now: datetime,
    hours: Sequence[str] = (),
) -> None:
    """Replace the on-call chain: people with their numbers, first one first.

    `hours` says for each place when the person is on duty (`logic.duty_hours`); a
    place without is always on duty.
    """
    if not chain:
        raise BadInput("The on-call chain needs at least one person.", field="chain")
    numbers = [
        _staff_number(raw, site.region, position)
        for position, (_, raw) in enumerate(chain)
    ]
    duties = [
        _duty(line, position) for position, line in enumerate(hours[: len(chain)])
    ]
    duties += [""] * (len(chain) - len(duties))
    with scope.within(site.organization_id):
        OnCallEntry.objects.filter(site=site).delete()
        for position, ((staff, _), number, duty) in enumerate(
            zip(chain, numbers, duties, strict=True)
        ):
            OnCallEntry(
                organization_id=site.organization_id,
                site=site,
                position=position,
                staff=staff,
                number=number,
                hours=duty,
            ).save(force_insert=True)
        people = [staff.id for staff, _ in chain]
        audit.record(
            "site.on_call_set", site, actor=by, at=now, people=people, hours=duties
        )


def _refuse_taken_name(site: Site) -> None:
    if Site.objects.filter(name=site.name).exclude(pk=site.pk).exists():
        raise BadInput("A site of this name exists.", field="name")


def _staff_number(raw: str, region: str, position: int) -> str:
    try:
        return to_e164(raw, region)
    except PhoneError as error:
        raise BadInput(str(error), field=f"chain.{position}.number") from error


def _duty(line: str, position: int) -> str:
    try:
        read = str(duty_hours.parse(line))
    except ValueError as error:
        raise BadInput(str(error), field=f"chain.{position}.hours") from error
    if len(read) > duty_hours.LONGEST:
        raise BadInput("Write fewer stretches.", field=f"chain.{position}.hours")
    return read


def _checked(details: SiteDetails) -> dict[str, Any]:
    if not 1 <= len(details.name.strip()) <= 120:
        raise BadInput("Give the site a name, at most 120 letters.", field="name")
    if not 1 <= len(details.short_name.strip()) <= 18:
        raise BadInput(
            "The short name stands in every text: 1 to 18 letters.", field="short_name"
        )
    known_zone(details.time_zone)
    if details.region not in regions():
        raise BadInput("Give a country of two letters, such as US.", field="region")
    if details.language not in LANGUAGES:
        raise BadInput("Choose en, es or fr.", field="language")
    for name, longest in NUMBERS.items():
        if not 1 <= len(getattr(details, name).strip()) <= longest:
            raise BadInput(
                "Texts name this number: fill it in, there is no default; at most"
                f" {longest} signs, so that a text keeps its length.",
                field=name,
            )
    if not 1 <= details.page_wait_minutes <= 60:
        raise BadInput("Wait 1 to 60 minutes.", field="page_wait_minutes")
    _check_hours(details.hours)
    return asdict(details)


def _check_hours(hours: dict[str, list[list[str]]]) -> None:
    for day in WEEKDAYS:
        for opens, closes in hours.get(day, []):
            try:
                upright = time.fromisoformat(opens) < time.fromisoformat(closes)
            except ValueError as error:
                raise BadInput("Write hours as 08:00.", field="hours") from error
            if not upright:
                raise BadInput(
                    f"Hours end before they begin: {opens} to {closes}.", field="hours"
                )
