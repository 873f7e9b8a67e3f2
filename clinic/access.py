"""The only way to get a row on somebody's behalf.

Each function returns rows the person may use for the named operation, or raises
NotYours, which answers 404: absent and foreign look the same from outside.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from typing import TypeVar
from uuid import UUID

from django.db.models import Prefetch, Q, QuerySet

from clinic.errors import NotAllowed, NotYours
from clinic.logic import roles
from clinic.models import (
    AuditEntry,
    Client,
    ClientNumber,
    ConsentEvent,
    DeviceToken,
    PhoneNumber,
    RoleGrant,
    Site,
    Staff,
)
from clinic.models.clients import ENDED

T = TypeVar("T")


def may(staff: Staff, operation: str) -> bool:
    """Whether the person holds the operation on at least one site."""
    return _grants(staff, operation).exists()


def require(staff: Staff, operation: str) -> None:
    """Raise NotAllowed unless the person holds the operation somewhere."""
    if not may(staff, operation):
        raise NotAllowed


def operations_of(staff: Staff) -> frozenset[str]:
    """Every operation the person holds on at least one site."""
    if not staff.is_active:
        return frozenset()
    held = set(RoleGrant.objects.filter(staff=staff).values_list("role", flat=True))
    return frozenset(
        name for name, carriers in roles.OPERATIONS.items() if held & carriers
    )


def roles_of(staff: Staff) -> QuerySet[RoleGrant]:
    """The roles a person holds, and on which sites."""
    return RoleGrant.objects.filter(staff=staff).order_by("role", "id")


def require_everywhere(staff: Staff, operation: str) -> None:
    """Raise NotAllowed unless the person holds the operation on every site."""
    if not has_everywhere(staff, operation):
        raise NotAllowed


def has_everywhere(staff: Staff, operation: str) -> bool:
    """Whether the person holds the operation on every site."""
    return _grants(staff, operation).filter(site__isnull=True).exists()


def operations_by_site(staff: Staff) -> Callable[[UUID], frozenset[str]]:
    """What the person may do at a site, from one query for a page of many rows."""
    everywhere: set[str] = set()
    at: dict[UUID, set[str]] = defaultdict(set)
    grants = RoleGrant.objects.filter(staff=staff) if staff.is_active else ()
    for grant in grants:
        place = at[grant.site_id] if grant.site_id else everywhere
        place |= {
            n for n, carriers in roles.OPERATIONS.items() if grant.role in carriers
        }
    return lambda site_id: frozenset(everywhere | at.get(site_id, set()))


def sites(staff: Staff, operation: str) -> QuerySet[Site]:
    """The sites on which the person holds the operation."""
    grants = _grants(staff, operation)
    if grants.filter(site__isnull=True).exists():
        return Site.objects.order_by("name")
    return Site.objects.filter(id__in=grants.values("site_id")).order_by("name")


def site(staff: Staff, site_id: UUID, operation: str) -> Site:
    """One site, or NotYours."""
    return _found(sites(staff, operation).filter(pk=site_id).first())


def clients(staff: Staff, operation: str) -> QuerySet[Client]:
    """The clients of the sites on which the person holds the operation."""
    return Client.objects.filter(site__in=sites(staff, operation))


def client(staff: Staff, client_id: UUID, operation: str) -> Client:
    """One client with site and clinician, or NotYours."""
    rows = clients(staff, operation).select_related("site", "clinician")
    return _found(rows.filter(pk=client_id).first())


def colleagues(staff: Staff, operation: str) -> QuerySet[Staff]:
    """Staff of the organization, for people who may see staff."""
    require(staff, operation)
    return Staff.objects.filter(organization_id=staff.organization_id).order_by("name")


def colleague(staff: Staff, colleague_id: UUID, operation: str) -> Staff:
    """One person of the organization, or NotYours."""
    return _found(colleagues(staff, operation).filter(pk=colleague_id).first())


def grant(staff: Staff, grant_id: UUID, operation: str) -> RoleGrant:
    """One role of a person of the organization, or NotYours."""
    require(staff, operation)
    rows = RoleGrant.objects.select_related("staff", "site")
    return _found(rows.filter(pk=grant_id).first())


def own_tokens(staff: Staff) -> QuerySet[DeviceToken]:
    """The person's own devices, newest first."""
    return DeviceToken.objects.filter(staff=staff).order_by("-created_at")


def own_token(staff: Staff, token_id: UUID) -> DeviceToken:
    """One device of the person's own, or NotYours."""
    return _found(own_tokens(staff).filter(pk=token_id).first())


def consent_of(client: Client) -> QuerySet[ConsentEvent]:
    """The client's consent events."""
    return client.consent.select_related("by")


def audit_entries(staff: Staff, operation: str) -> QuerySet[AuditEntry]:
    """The organization's audit lines, newest first; for people on every site."""
    require_everywhere(staff, operation)
    return AuditEntry.objects.order_by("-sequence")


def clinicians_of(site: Site) -> QuerySet[Staff]:
    """Active people who can be a client's named clinician at the site."""
    grants = RoleGrant.objects.filter(
        Q(site=site) | Q(site__isnull=True), role__in=["clinician", "site_lead"]
    )
    return Staff.objects.filter(
        organization_id=site.organization_id,
        is_active=True,
        id__in=grants.values("staff_id"),
    ).order_by("name")


def clinician(site: Site, staff_id: UUID) -> Staff:
    """One of the site's clinicians, or NotYours."""
    return _found(clinicians_of(site).filter(pk=staff_id).first())


def reached_by(staff: Staff, phone: PhoneNumber | None) -> QuerySet[Client]:
    """The person's clients whom the number reaches now."""
    found = clients(staff, "client.contact")
    if phone is None:
        return found.none()
    return found.filter(numbers__phone=phone, numbers__until__isnull=True)


def with_numbers(rows: QuerySet[Client]) -> QuerySet[Client]:
    """The clients with the numbers that reach them now: two queries for a list."""
    now = ClientNumber.objects.filter(until__isnull=True).select_related("phone")
    return rows.prefetch_related(Prefetch("numbers", now, to_attr="reaching"))


def on_call_sites(person: Staff) -> QuerySet[Site]:
    """The sites on whose on-call chain the person stands."""
    return Site.objects.filter(on_call__staff=person).order_by("name")


def caseload(person: Staff) -> QuerySet[Client]:
    """The clients who are texted and have the person as named clinician."""
    return Client.objects.filter(clinician=person).exclude(monitoring=ENDED)


def current_number(client: Client) -> PhoneNumber | None:
    """The number that reaches the client now, if there is one."""
    known = getattr(client, "reaching", None)
    if known is not None:
        return known[0].phone if known else None
    holder = client.numbers.filter(until__isnull=True).select_related("phone").first()
    return holder.phone if holder else None


def _grants(staff: Staff, operation: str) -> QuerySet[RoleGrant]:
    if not staff.is_active:
        return RoleGrant.objects.none()
    return RoleGrant.objects.filter(staff=staff, role__in=roles.roles_for(operation))


def _found(row: T | None) -> T:
    if row is None:
        raise NotYours
    return row
