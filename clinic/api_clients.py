"""API: clients as the front desk knows them, and their consent."""

from __future__ import annotations

from dataclasses import replace
from typing import Any
from uuid import UUID

import django_filters
from rest_framework import serializers
from rest_framework.request import Request

from clinic import access, clock, enrolling
from clinic.endpoints import Endpoint, answers
from clinic.enrolling import Contact
from clinic.filters import ListFilter, words
from clinic.logic.phone import masked
from clinic.models import Client
from clinic.models.clients import MONITORING
from clinic.shapes import Choice, Named, Reference, Shape, Text


class ClientSerializer(Shape):
    """A client: who, where, how they are reached. No symptoms.

    `number`: in full for people who may contact the client, else its last digits.
    `number_state`: open, opted_out, wrong, or none when no number is known.
    """

    id = serializers.UUIDField()
    name = serializers.CharField()
    site = serializers.UUIDField(source="site_id")
    clinician = Named()
    number = serializers.SerializerMethodField()
    number_state = serializers.SerializerMethodField()
    language = serializers.CharField()
    time_zone = serializers.CharField()
    monitoring = serializers.ChoiceField(choices=MONITORING)
    ended_reason = serializers.CharField(allow_blank=True)
    ended_at = serializers.DateTimeField(allow_null=True)
    created_at = serializers.DateTimeField()
    monitored_since = serializers.DateTimeField(allow_null=True)
    last_heard_at = serializers.DateTimeField(allow_null=True)

    def get_number(self, client: Client) -> str | None:
        """The number in E.164 (ITU-T), or null."""
        phone = access.current_number(client)
        if phone is None:
            return None
        in_full = client.site_id in self.context["contact_sites"]
        return phone.number if in_full else masked(phone.number)

    def get_number_state(self, client: Client) -> str:
        """Whether texts may go to the number."""
        phone = access.current_number(client)
        if phone is None:
            return "none"
        if phone.opted_out_at is not None:
            return "opted_out"
        return "wrong" if phone.wrong_at is not None else "open"


class ContactSerializer(Shape):
    """What may be corrected about a client."""

    name = Text(max_length=120)
    language = Choice(choices=enrolling.LANGUAGES)
    time_zone = Text(max_length=64)
    clinician = Reference()


class NumberSerializer(Shape):
    """A number as people write it, and a site whose country it belongs to."""

    number = Text(max_length=32)
    site = Reference()


class FoundClientsSerializer(Shape):
    """The clients a number reaches: more than one when it is shared."""

    clients = ClientSerializer(many=True)


class ConsentEventSerializer(Shape):
    """One consent fact about texting a number."""

    id = serializers.UUIDField()
    kind = serializers.CharField()
    wording = serializers.CharField()
    language = serializers.CharField()
    at = serializers.DateTimeField()
    by = Named(allow_null=True)


class ClientFilter(ListFilter):
    """Clients of one site or clinician, or in one state."""

    site = django_filters.UUIDFilter(field_name="site_id", help_text="The site's id.")
    clinician = django_filters.UUIDFilter(
        field_name="clinician_id", help_text="The named clinician's id."
    )
    monitoring = django_filters.ChoiceFilter(
        choices=words(*MONITORING), help_text="Whether the client is on texts."
    )


class ClientEndpoint(Endpoint):
    """Base of addresses that answer with clients."""

    def shape_context(self) -> dict[str, Any]:
        """On which sites the person sees numbers in full."""
        rows = access.sites(self.request.user, "client.contact")
        sites = frozenset(rows.values_list("pk", flat=True))
        return super().shape_context() | {"contact_sites": sites}


class Clients(ClientEndpoint):
    """The clients."""

    @answers(
        "list_clients",
        "client.list",
        gives=ClientSerializer,
        paged=True,
        filters=ClientFilter,
    )
    def get(self, request: Request) -> Any:
        """The clients of my sites, newest first."""
        rows = access.clients(request.user, "client.list")
        return access.with_numbers(rows).select_related("clinician")


class OneClient(ClientEndpoint):
    """One client."""

    @answers("show_client", "client.view", gives=ClientSerializer)
    def get(self, request: Request, client_id: UUID) -> Any:
        """Who the client is and how they are reached."""
        return access.client(request.user, client_id, "client.view")

    @answers(
        "change_contact",
        "client.contact",
        takes=ContactSerializer,
        gives=ClientSerializer,
    )
    def patch(self, request: Request, data: dict[str, Any], client_id: UUID) -> Any:
        """Correct what is named; a new number goes to `number`."""
        client = access.client(request.user, client_id, "client.contact")
        contact = replace(_contact(client), **_resolved(client, data))
        enrolling.change_contact(client, contact, by=request.user, now=clock.now())
        return client


class ClientSearch(ClientEndpoint):
    """Looking a number up; in a body, so that no number stands in an address."""

    @answers(
        "find_clients",
        "client.contact",
        takes=NumberSerializer,
        gives=FoundClientsSerializer,
        sparing=True,
    )
    def post(self, request: Request, data: dict[str, Any]) -> Any:
        """My clients whom the number reaches; none for an unknown one."""
        site = access.site(request.user, data["site"], "client.contact")
        phone = enrolling.known_number(site, data["number"])
        found = access.reached_by(request.user, phone)
        return {"clients": access.with_numbers(found).select_related("clinician")}


class Consent(Endpoint):
    """What the client agreed to, and took back."""

    @answers("list_consent", "client.view", gives=ConsentEventSerializer, paged=True)
    def get(self, request: Request, client_id: UUID) -> Any:
        """Consent events, newest first."""
        client = access.client(request.user, client_id, "client.view")
        return access.consent_of(client)


def _contact(client: Client) -> Contact:
    return Contact(client.name, client.language, client.time_zone, client.clinician)


def _resolved(client: Client, data: dict[str, Any]) -> dict[str, Any]:
    if "clinician" not in data:
        return data
    return data | {"clinician": access.clinician(client.site, data["clinician"])}
