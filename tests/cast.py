"""A small named cast: two sites of one organization, an outsider, two clients.

Elm Row and Quarry Street belong to Harrow Mill; Otherton is another organization,
whose people must never see anything of the first.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, time
from typing import Any

from clinic import scope, settling, staffing
from clinic.enrolling import Enrollment
from clinic.models import Client, Organization, Site, Staff
from clinic.settling import SiteDetails
from programs import prescribing
from programs.models import HomeProgram
from programs.plans import PRECAUTIONS, ItemPlan, ProgramPlan, Start
from reminders import enrolling

NOW = datetime(2026, 3, 2, 15, 0, tzinfo=UTC)  # Monday, 10:00 in New York
PASSWORD = "correct horse battery staple"
HOURS = {day: [["08:00", "18:00"]] if day < "5" else [] for day in "0123456"}
CONSENT = "I agree to get texts about my home exercises; I can text STOP at any time."
NUMBER, OTHER_NUMBER = "+12025550143", "+12125550117"
SENDING, OTHER_SENDING = "+12025550100", "+13125550100"


@dataclass
class Cast:
    """Everybody of the tests."""

    organization: Organization
    site: Site
    far_site: Site
    owner: Staff
    lead: Staff
    clinician: Staff
    far_clinician: Staff
    desk: Staff
    auditor: Staff
    other_organization: Organization
    other_site: Site
    outsider: Staff
    client: Client


def make_cast(now: datetime = NOW) -> Cast:
    """Build the cast through the writers, with one enrolled client at Elm Row."""
    organization = staffing.found_organization("Harrow Mill", SENDING, now=now)
    site = settling.open_site(organization, details(), by="setup", now=now)
    far = details(name="Quarry Street", short_name="Quarry Street")
    far_site = settling.open_site(organization, far, by="setup", now=now)
    people = {
        "owner": person(organization, "owner", None, now),
        "lead": person(organization, "site_lead", site, now),
        "clinician": person(organization, "clinician", site, now),
        "far_clinician": person(organization, "clinician", far_site, now, tag="far"),
        "desk": person(organization, "front_desk", site, now),
        "auditor": person(organization, "auditor", None, now),
    }
    settling.set_on_call(
        site,
        [(people["clinician"], "+12025550191"), (people["lead"], "+12025550192")],
        by="setup",
        now=now,
    )
    other = staffing.found_organization("Otherton", OTHER_SENDING, now=now)
    other_site = settling.open_site(
        other, details(name="Otherton", short_name="Otherton"), by="setup", now=now
    )
    outsider = person(other, "clinician", other_site, now, tag="outsider")
    with scope.within(organization.id):
        client = enroll(site, people["clinician"], now=now)
    return Cast(
        organization=organization,
        site=site,
        far_site=far_site,
        other_organization=other,
        other_site=other_site,
        outsider=outsider,
        client=client,
        **people,
    )


def details(**changes: Any) -> SiteDetails:
    """A site's details with some of them changed."""
    values: dict[str, Any] = {
        "name": "Elm Row",
        "short_name": "Elm Row",
        "time_zone": "America/New_York",
        "region": "US",
        "language": "en",
        "emergency_number": "911",
        "crisis_line": "988",
        "call_back_number": "202-555-0110",
        "hours": HOURS,
        "quiet_from": time(21, 0),
        "quiet_to": time(8, 0),
    }
    return SiteDetails(**(values | changes))


def person(
    organization: Organization,
    role: str,
    site: Site | None,
    now: datetime,
    *,
    tag: str = "",
) -> Staff:
    """A staff member with one role."""
    staff = staffing.add_staff(
        organization,
        email=f"{tag or role}@{organization.name.split()[0].lower()}.example",
        name=f"{(tag or role).replace('_', ' ').title()}",
        password=PASSWORD,
        by="setup",
        now=now,
    )
    staffing.grant(staff, role, site, by="setup", now=now)
    return staff


def enroll(
    site: Site, clinician: Staff, *, now: datetime = NOW, **changes: Any
) -> Client:
    """A client enrolled with the first text in the outbox."""
    values = {
        "name": "Ines Calder",
        "number": NUMBER,
        "language": "en",
        "time_zone": "America/New_York",
        "consent_wording": CONSENT,
    } | changes
    details = Enrollment(**values)
    return enrolling.enroll(site, clinician, details, by=clinician, now=now)


def plan(**changes: Any) -> ProgramPlan:
    """A spine program of two exercises, five times a day."""
    values: dict[str, Any] = {
        "items": (
            ItemPlan("prone_on_elbows", hold_seconds=30, repetitions=3, sets=1),
            ItemPlan("press_up", repetitions=10, sets=1),
        ),
        "times_per_day": 5,
        "waking_from": time(8, 0),
        "waking_to": time(20, 30),
        "stop_rules": ("emergency", "numb_or_weak", "leg_farther", "stays_worse"),
        "review_on": NOW.date().replace(day=12),
    }
    return ProgramPlan(**(values | changes))


def start(**changes: Any) -> Start:
    """A starting point: pain 5, right side down to the thigh."""
    values: dict[str, Any] = {
        "pain": 5.0,
        "reach_right": "thigh",
        "directional_preference": "extension",
        "precautions": dict.fromkeys(PRECAUTIONS, False),
    }
    return Start(**(values | changes))


def prescribe(
    client: Client, by: Staff, *, now: datetime = NOW, **changes: Any
) -> HomeProgram:
    """The client on the program of `plan`."""
    with scope.within(client.organization_id):
        return prescribing.prescribe(client, plan(**changes), start(), by=by, now=now)
