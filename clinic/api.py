"""API: the person who signed in, their devices, the audit trail, the documentation."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import django_filters
from drf_spectacular.renderers import (
    OpenApiJsonRenderer,
    OpenApiJsonRenderer2,
    OpenApiYamlRenderer,
)
from drf_spectacular.views import SpectacularAPIView
from rest_framework import serializers
from rest_framework.request import Request

from clinic import access, clock, pairing
from clinic.endpoints import Endpoint, answers
from clinic.filters import ListFilter
from clinic.shapes import Named, Shape, Text
from clinic.throttles import PersonThrottle


class HeldRoleSerializer(Shape):
    """A role on one site, or on every site when `site` is null."""

    id = serializers.UUIDField()
    role = serializers.CharField()
    site = serializers.UUIDField(source="site_id", allow_null=True)


class MeSerializer(Shape):
    """Who calls, and what they may do on at least one site."""

    id = serializers.UUIDField()
    name = serializers.CharField()
    email = serializers.CharField()
    organization = Named()
    roles = HeldRoleSerializer(many=True)
    operations = serializers.ListField(child=serializers.CharField())


class TokenSerializer(Shape):
    """A device of the person; the token itself is never shown again."""

    id = serializers.UUIDField()
    device = serializers.CharField()
    created_at = serializers.DateTimeField()
    expires_at = serializers.DateTimeField()
    last_used_at = serializers.DateTimeField(allow_null=True)
    revoked_at = serializers.DateTimeField(allow_null=True)


class NewTokenSerializer(TokenSerializer):
    """A new device with its token, this once."""

    token = serializers.CharField()


class DeviceSerializer(Shape):
    """The name by which the person will know the device."""

    device = Text(max_length=80)


class AuditEntrySerializer(Shape):
    """A line of the audit chain: ids and codes only."""

    sequence = serializers.IntegerField()
    at = serializers.DateTimeField()
    actor = serializers.CharField()
    action = serializers.CharField()
    subject_type = serializers.CharField()
    subject_id = serializers.UUIDField()
    detail = serializers.DictField()
    previous = serializers.CharField()
    digest = serializers.CharField()


class AuditFilter(ListFilter):
    """Lines about one record, of one kind, by one person."""

    subject = django_filters.UUIDFilter(
        field_name="subject_id", help_text="The id of the record."
    )
    action = django_filters.CharFilter(
        max_length=48, help_text="The action, such as program.revised."
    )
    staff = django_filters.UUIDFilter(
        method="by_staff", help_text="The id of the person who did it."
    )

    def by_staff(self, rows: Any, _: str, staff_id: UUID) -> Any:
        """Lines whose actor is this staff member."""
        return rows.filter(actor=f"staff:{staff_id}")


class Me(Endpoint):
    """The person who signed in."""

    @answers("show_me", "home.view", gives=MeSerializer)
    def get(self, request: Request) -> Any:
        """Who I am, which roles I hold, and which operations they carry."""
        person = request.user
        return {
            "id": person.id,
            "name": person.name,
            "email": person.email,
            "organization": person.organization,
            "roles": access.roles_of(person),
            "operations": sorted(access.operations_of(person)),
        }


class Tokens(Endpoint):
    """The person's devices."""

    @answers("list_tokens", "token.own", gives=TokenSerializer, paged=True)
    def get(self, request: Request) -> Any:
        """My devices, newest first."""
        return access.own_tokens(request.user)

    @answers(
        "issue_token",
        "token.own",
        takes=DeviceSerializer,
        gives=NewTokenSerializer,
        status=201,
        sparing=True,
        by_page=True,
    )
    def post(self, request: Request, data: dict[str, Any]) -> Any:
        """A token for a new device, shown this once.

        Only with a session: a token that could make tokens would outlive its own
        revocation on a lost phone.
        """
        row, row.token = pairing.issue(request.user, data["device"], now=clock.now())
        return row


class Token(Endpoint):
    """One device."""

    @answers("revoke_token", "token.own", status=204)
    def delete(self, request: Request, token_id: UUID) -> None:
        """The device is out from its next request on; again changes nothing."""
        row = access.own_token(request.user, token_id)
        pairing.revoke(row, by=request.user, now=clock.now())


class Audit(Endpoint):
    """The audit chain of the organization."""

    ordering = "-sequence"

    @answers(
        "list_audit_entries",
        "audit.view",
        gives=AuditEntrySerializer,
        paged=True,
        filters=AuditFilter,
    )
    def get(self, request: Request) -> Any:
        """Who did what to which record and when, newest first."""
        return access.audit_entries(request.user, "audit.view")


class Documentation(SpectacularAPIView):
    """This API as an OpenAPI document."""

    operation = "schema.view"
    schema = None
    throttle_classes = [PersonThrottle]
    renderer_classes = [OpenApiJsonRenderer2, OpenApiJsonRenderer, OpenApiYamlRenderer]
