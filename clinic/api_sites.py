"""API: sites with their hours, numbers, closures and on-call chain."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date
from typing import Any
from uuid import UUID

from rest_framework import serializers
from rest_framework.request import Request

from clinic import access, clock, settling
from clinic.endpoints import Endpoint, answers
from clinic.enrolling import LANGUAGES
from clinic.errors import NotYours
from clinic.logic.duty_hours import LONGEST
from clinic.models import Site
from clinic.models.organizations import WEEKDAYS
from clinic.settling import SiteDetails
from clinic.shapes import Choice, Named, Reference, Shape, Text, Whole


def _spans() -> serializers.ListField:
    span = serializers.ListField(
        child=Text(min_length=5, max_length=5), min_length=2, max_length=2
    )
    return serializers.ListField(child=span, max_length=4, required=False)


# The keys are weekdays ("0" is Monday): names no class body can spell.
HoursSerializer = type(
    "HoursSerializer",
    (Shape,),
    {"__doc__": "Opening times by weekday, 0 is Monday: pairs of HH:MM, local."}
    | {day: _spans() for day in WEEKDAYS},
)


class SiteDetailsSerializer(Shape):
    """What a site lead sets; the numbers stand in texts and have no default."""

    name = Text(max_length=120)
    short_name = Text(max_length=18)
    time_zone = Text(max_length=64)
    region = Text(min_length=2, max_length=2)
    language = Choice(choices=LANGUAGES)
    emergency_number = Text(max_length=12)
    crisis_line = Text(max_length=16)
    call_back_number = Text(max_length=16)
    hours = HoursSerializer()
    quiet_from = serializers.TimeField()
    quiet_to = serializers.TimeField()
    page_wait_minutes = Whole(min_value=1, max_value=60, required=False)


class SiteSerializer(SiteDetailsSerializer):
    """A site as it stands."""

    id = serializers.UUIDField()
    page_wait_minutes = serializers.IntegerField()


class ClosureSerializer(Shape):
    """A day on which the site is closed, in its own zone."""

    on = serializers.DateField()
    note = serializers.CharField()


class ClosureNoteSerializer(Shape):
    """Why the site is closed that day."""

    note = Text(max_length=80, allow_blank=True, required=False)


class OnCallSerializer(Shape):
    """A place on the on-call chain; the number for people who may change it."""

    position = serializers.IntegerField()
    staff = Named()
    number = serializers.CharField(required=False)
    hours = serializers.CharField(allow_blank=True)

    def to_representation(self, instance: Any) -> Any:
        shown = super().to_representation(instance)
        if not self.context["shows_numbers"]:
            del shown["number"]
        return shown


class OnCallPlaceSerializer(Shape):
    """Who is paged at this place, on which number, and when on duty.

    `hours`: as in "Mon-Fri 18:00-08:00, Sat-Sun 00:00-24:00", on the site's clock;
    empty or absent: always.
    """

    staff = Reference()
    number = Text(max_length=32)
    hours = Text(max_length=LONGEST, allow_blank=True, required=False)


class OnCallChainSerializer(Shape):
    """The whole chain, first one first."""

    chain = OnCallPlaceSerializer(many=True, min_length=1, max_length=8)


class Sites(Endpoint):
    """The sites."""

    @answers("list_sites", "site.view", gives=SiteSerializer, paged=True)
    def get(self, request: Request) -> Any:
        """The sites I work at."""
        return access.sites(request.user, "site.view")

    @answers(
        "open_site",
        "site.edit",
        takes=SiteDetailsSerializer,
        gives=SiteSerializer,
        status=201,
    )
    def post(self, request: Request, data: dict[str, Any]) -> Any:
        """Open a site; for people who may change every site."""
        access.require_everywhere(request.user, "site.edit")
        return settling.open_site(
            request.user.organization,
            SiteDetails(**data),
            by=request.user,
            now=clock.now(),
        )


class OneSite(Endpoint):
    """One site."""

    @answers("show_site", "site.view", gives=SiteSerializer)
    def get(self, request: Request, site_id: UUID) -> Any:
        """The site's hours and numbers."""
        return access.site(request.user, site_id, "site.view")

    @answers(
        "change_site",
        "site.edit",
        takes=SiteDetailsSerializer,
        gives=SiteSerializer,
    )
    def patch(self, request: Request, data: dict[str, Any], site_id: UUID) -> Any:
        """Change the details that are named; the rest stays."""
        site = access.site(request.user, site_id, "site.edit")
        details = replace(_details(site), **data)
        settling.change_site(site, details, by=request.user, now=clock.now())
        return site


class Clinicians(Endpoint):
    """Who can be a client's named clinician at the site."""

    @answers("list_clinicians", "client.enroll", gives=Named, paged=True)
    def get(self, request: Request, site_id: UUID) -> Any:
        """The people to choose a new client's clinician from."""
        site = access.site(request.user, site_id, "client.enroll")
        return access.clinicians_of(site)


class Closures(Endpoint):
    """The days on which the site is closed."""

    ordering = "on"

    @answers("list_closures", "site.view", gives=ClosureSerializer, paged=True)
    def get(self, request: Request, site_id: UUID) -> Any:
        """Closed days, earliest first."""
        return access.site(request.user, site_id, "site.view").closures.all()


class Closure(Endpoint):
    """One closed day."""

    @answers(
        "close_site", "site.edit", takes=ClosureNoteSerializer, gives=ClosureSerializer
    )
    def put(
        self, request: Request, data: dict[str, Any], site_id: UUID, day: str
    ) -> Any:
        """Close the site on the day (YYYY-MM-DD); again changes nothing."""
        site, on = access.site(request.user, site_id, "site.edit"), _day(day)
        note = data.get("note", "")
        settling.close_on(site, on, note, by=request.user, now=clock.now())
        return site.closures.get(on=on)

    @answers("reopen_site", "site.edit", status=204)
    def delete(self, request: Request, site_id: UUID, day: str) -> None:
        """Open the site on the day after all."""
        site = access.site(request.user, site_id, "site.edit")
        settling.reopen_on(site, _day(day), by=request.user, now=clock.now())


class OnCall(Endpoint):
    """The on-call chain of a site."""

    @answers("list_on_call", "site.view", gives=OnCallSerializer, paged=True)
    def get(self, request: Request, site_id: UUID) -> Any:
        """Who is paged in an emergency, in order."""
        site = access.site(request.user, site_id, "site.view")
        return self._chain(site)

    @answers("set_on_call", "site.edit", takes=OnCallChainSerializer, status=204)
    def put(self, request: Request, data: dict[str, Any], site_id: UUID) -> None:
        """Replace the chain."""
        site = access.site(request.user, site_id, "site.edit")
        chain = [
            (access.clinician(site, place["staff"]), place["number"])
            for place in data["chain"]
        ]
        duties = [place.get("hours", "") for place in data["chain"]]
        settling.set_on_call(
            site, chain, hours=duties, by=request.user, now=clock.now()
        )

    def _chain(self, site: Site) -> Any:
        editable = access.sites(self.request.user, "site.edit").filter(pk=site.pk)
        self.shows_numbers = editable.exists()
        return site.on_call.select_related("staff")

    def shape_context(self) -> dict[str, Any]:
        return super().shape_context() | {
            "shows_numbers": getattr(self, "shows_numbers", False)
        }


def _details(site: Site) -> SiteDetails:
    return SiteDetails(
        **{field.name: getattr(site, field.name) for field in fields(SiteDetails)}
    )


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise NotYours from error
