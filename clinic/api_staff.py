"""API: staff accounts and the roles they hold."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import django_filters
from rest_framework import serializers
from rest_framework.request import Request

from clinic import access, clock, staffing
from clinic.api import HeldRoleSerializer
from clinic.endpoints import Endpoint, answers
from clinic.errors import NotYours
from clinic.filters import ListFilter
from clinic.logic.roles import ROLES
from clinic.shapes import Choice, Reference, Shape, Text


class StaffSerializer(Shape):
    """A person of the organization."""

    id = serializers.UUIDField()
    name = serializers.CharField()
    email = serializers.CharField()
    is_active = serializers.BooleanField()
    created_at = serializers.DateTimeField()
    roles = HeldRoleSerializer(many=True, source="grants.all")


class NewStaffSerializer(Shape):
    """A new account; the person sets a password through the reset mail."""

    name = Text(max_length=120)
    email = Text(max_length=254)


class RoleSerializer(Shape):
    """A role on one site, or on every site when `site` is null."""

    role = Choice(choices=ROLES)
    site = Reference(allow_null=True)


class StaffFilter(ListFilter):
    """Open or closed accounts."""

    is_active = django_filters.BooleanFilter(help_text="false: closed accounts.")


class Staff(Endpoint):
    """The people of the organization."""

    @answers(
        "list_staff",
        "staff.view",
        gives=StaffSerializer,
        paged=True,
        filters=StaffFilter,
    )
    def get(self, request: Request) -> Any:
        """Accounts with their roles."""
        return access.colleagues(request.user, "staff.view").prefetch_related("grants")

    @answers(
        "add_staff",
        "staff.edit",
        takes=NewStaffSerializer,
        gives=StaffSerializer,
        status=201,
        sparing=True,
    )
    def post(self, request: Request, data: dict[str, Any]) -> Any:
        """A new account without any role yet."""
        return staffing.add_staff(
            request.user.organization,
            **data,
            password=None,
            by=request.user,
            now=clock.now(),
        )


class StaffMember(Endpoint):
    """One person."""

    @answers("show_staff_member", "staff.view", gives=StaffSerializer)
    def get(self, request: Request, staff_id: UUID) -> Any:
        """The account and its roles."""
        return access.colleague(request.user, staff_id, "staff.view")


class StaffClosing(Endpoint):
    """Closing an account."""

    @answers("deactivate_staff", "staff.edit", status=204)
    def post(self, request: Request, staff_id: UUID) -> None:
        """Close the account and its devices; it bites on the next request."""
        person = access.colleague(request.user, staff_id, "staff.edit")
        staffing.deactivate(person, by=request.user, now=clock.now())


class Roles(Endpoint):
    """The roles of one person."""

    @answers(
        "grant_role",
        "staff.edit",
        takes=RoleSerializer,
        gives=HeldRoleSerializer,
        status=201,
    )
    def post(self, request: Request, data: dict[str, Any], staff_id: UUID) -> Any:
        """Give a role; one that is held already is answered as it is."""
        person = access.colleague(request.user, staff_id, "staff.edit")
        site = data["site"] and access.site(request.user, data["site"], "staff.edit")
        return staffing.grant(
            person, data["role"], site, by=request.user, now=clock.now()
        )


class Role(Endpoint):
    """One role of one person."""

    @answers("revoke_role", "staff.edit", status=204)
    def delete(self, request: Request, staff_id: UUID, grant_id: UUID) -> None:
        """Take the role away; it bites on the next request."""
        grant = access.grant(request.user, grant_id, "staff.edit")
        if grant.staff_id != staff_id:
            raise NotYours
        staffing.revoke(grant, by=request.user, now=clock.now())
