"""The only way to get a row on somebody's behalf.

Each function returns rows the person may use for the named operation, or raises
NotYours, which answers 404: absent and foreign look the same from outside.
"""

from __future__ import annotations

from typing import TypeVar
from uuid import UUID

from django.db.models import Q, QuerySet

from clinic.errors import NotAllowed, NotYours
from clinic.logic import roles
from clinic.models import Client, PhoneNumber, RoleGrant, Site, Staff

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
    held = set(RoleGrant.objects.filter(staff=staff).values_list("role", flat=True))
    return frozenset(
        name for name, carriers in roles.OPERATIONS.items() if held & carriers
    )


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


def current_number(client: Client) -> PhoneNumber | None:
    """The number that reaches the client now, if there is one."""
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
