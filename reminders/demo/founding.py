"""The demo's invented clinic: two sites in two time zones, people, templates."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, time

from clinic import scope, settling, staffing
from clinic.models import Organization, Site, Staff
from clinic.settling import SiteDetails
from programs import library, publishing
from programs.models import TemplateVersion

ORGANIZATION, SENDING = "Tallow Bridge Back Care", "+12025550100"
# name, short name, zone, area codes of its clients, call-back number
SITES = (
    ("Tallow Bridge", "America/New_York", ("207", "413", "518"), "202-555-0110"),
    ("Cinder Hill", "America/Chicago", ("309", "515", "608"), "309-555-0112"),
)
# e-mail, name, role, place of the site or None for every site
PEOPLE = (
    ("owner", "Odile Marchetti", "owner", None),
    ("lead", "Tobias Renn", "site_lead", 0),
    ("clinician", "Marisol Quade", "clinician", 0),
    ("clinician2", "Henrik Adeyemi", "clinician", 0),
    ("lead2", "Yvonne Castellan", "site_lead", 1),
    ("clinician3", "Bastien Okoro", "clinician", 1),
    ("desk", "Noor Vandermeer", "front_desk", None),
    ("auditor", "Ansel Fairweather", "auditor", None),
)
DOMAIN = "tallowbridge.example"
_WEEK = {str(day): [["08:00", "18:00"]] for day in range(5)} | {"5": [], "6": []}
_WORDS = """
amber anchor basil birch cedar cinder clover copper coral cotton ember fennel fern
flint ginger harbor hazel heron indigo ivory juniper lantern larch linen maple marble
meadow mint moss nutmeg oak olive orchard otter pebble pepper plum quartz quill raven
reed saffron sage shore silver slate sorrel spruce stone sugar tallow thistle timber
topaz tulip umber velvet walnut wicker willow winter wren yarrow
"""


@dataclass(frozen=True, slots=True)
class Account:
    """Who can sign in to the demo: shown once, when it is built."""

    email: str
    name: str
    role: str
    site: str


@dataclass(frozen=True, slots=True)
class DemoClinic:
    """Everybody and everything the simulated weeks need."""

    organization: Organization
    sites: tuple[Site, ...]
    people: dict[str, Staff]
    templates: dict[str, TemplateVersion]
    accounts: tuple[Account, ...]

    @property
    def desk(self) -> Staff:
        return self.people["desk"]

    def clinicians(self, site: Site) -> list[Staff]:
        """The site's clinicians, who take its clients in turn."""
        place = self.sites.index(site)
        return [
            self.people[key]
            for key, _, role, at in PEOPLE
            if role == "clinician" and at == place
        ]


def made_up_password() -> str:
    """Four words drawn for this demo and a number: never a default of any install."""
    return "-".join(secrets.choice(_WORDS.split()) for _ in range(4)) + str(
        secrets.randbelow(90) + 10
    )


def found(*, password: str, now: datetime) -> DemoClinic:
    """Build the clinic through the writers."""
    organization = staffing.found_organization(ORGANIZATION, SENDING, now=now)
    with scope.within(organization.id):
        sites = tuple(
            settling.open_site(organization, _details(place), by="demo", now=now)
            for place in range(len(SITES))
        )
        people, accounts = _staffed(organization, sites, password, now)
        for place, site in enumerate(sites):
            chain = _on_call(people, place)
            settling.set_on_call(site, chain, by=people["owner"], now=now)
        made = publishing.add_starters(organization, by=people["owner"], now=now)
    templates = dict(zip(library.starters(), made, strict=True))
    return DemoClinic(organization, sites, people, templates, accounts)


def _staffed(
    organization: Organization,
    sites: tuple[Site, ...],
    password: str,
    now: datetime,
) -> tuple[dict[str, Staff], tuple[Account, ...]]:
    people: dict[str, Staff] = {}
    accounts = []
    for key, name, role, place in PEOPLE:
        email = f"{key}@{DOMAIN}"
        site = None if place is None else sites[place]
        people[key] = staffing.add_staff(
            organization, email=email, name=name, password=password, by="demo", now=now
        )
        staffing.grant(people[key], role, site, by="demo", now=now)
        where = site.name if site else "both sites"
        accounts.append(Account(email, name, role.replace("_", " "), where))
    return people, tuple(accounts)


def _on_call(people: dict[str, Staff], place: int) -> list[tuple[Staff, str]]:
    """The site's clinicians first, then its lead; numbers kept for fiction."""
    keys = [key for key, _, role, at in PEOPLE if at == place]
    keys.sort(key=lambda key: key.startswith("lead"))
    return [
        (people[key], f"+1202555019{place * 4 + index}")
        for index, key in enumerate(keys)
    ]


def _details(place: int) -> SiteDetails:
    name, zone, _, call_back = SITES[place]
    return SiteDetails(
        name=name,
        short_name=name,
        time_zone=zone,
        region="US",
        language="en",
        emergency_number="911",
        crisis_line="988",
        call_back_number=call_back,
        hours=_WEEK,
        quiet_from=time(21, 0),
        quiet_to=time(8, 0),
    )
