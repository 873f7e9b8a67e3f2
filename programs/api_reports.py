"""API: reports, what was made of them, and what clinicians decided."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import django_filters
from rest_framework import serializers
from rest_framework.request import Request

from clinic import access as people
from clinic import clock
from clinic.endpoints import Endpoint, answers
from clinic.filters import ListFilter, words
from clinic.shapes import Choice, Moment, Named, Number, Reference, Shape
from programs import access, prescribing, reporting
from programs.logic import body
from programs.logic.reports import COMPLETIONS, OVERALL, SHIFTS, SymptomReport
from programs.models.reports import DECISIONS, IN_PERSON, TEXT

_AREAS = (*body.AREAS, body.LEG)


def _by_area(name: str, says: str, field: type[Any], **choices: Any) -> type[Shape]:
    """A shape with one optional field an area: an unknown area is refused by name."""
    fields = {area: field(required=False, **choices) for area in _AREAS}
    return type(name, (Shape,), {"__doc__": says} | fields)


AreasSerializer = _by_area(
    "AreasSerializer", "How it is by area.", Choice, choices=sorted(body.STATES)
)
PainByAreaSerializer = _by_area(
    "PainByAreaSerializer", "Pain 0-10 by area.", Number, min_value=0, max_value=10
)
SensationSerializer = _by_area(
    "SensationSerializer", "Sensation by area.", Choice, choices=body.SENSATIONS
)


class NewReportSerializer(Shape):
    """What was heard or seen in the room.

    `key` is made by the device: the same report sent twice is kept once.
    """

    key = Reference()
    at = Moment()
    completion = Choice(choices=sorted(COMPLETIONS), allow_null=True, required=False)
    pain = Number(min_value=0, max_value=10, allow_null=True, required=False)
    overall = Choice(choices=sorted(OVERALL), allow_null=True, required=False)
    areas = AreasSerializer(required=False)
    side = Choice(choices=sorted(body.SIDES), allow_null=True, required=False)
    shift = Choice(choices=sorted(SHIFTS), allow_null=True, required=False)
    pain_by_area = PainByAreaSerializer(required=False)
    sensation = SensationSerializer(required=False)


class ReportSerializer(Shape):
    """A report as it was stored; a voided one no longer counts."""

    id = serializers.UUIDField()
    client = serializers.UUIDField(source="client_id")
    program = serializers.UUIDField(source="program_id", allow_null=True)
    source = serializers.ChoiceField(choices=(TEXT, IN_PERSON))
    at = serializers.DateTimeField()
    completion = serializers.CharField(allow_blank=True)
    pain = serializers.FloatField(allow_null=True)
    overall = serializers.CharField(allow_blank=True)
    areas = serializers.DictField(child=serializers.CharField())
    side = serializers.CharField(allow_blank=True)
    shift = serializers.CharField(allow_blank=True)
    pain_by_area = serializers.DictField(child=serializers.FloatField())
    sensation = serializers.DictField(child=serializers.CharField())
    voided_at = serializers.DateTimeField(allow_null=True)
    void_reason = serializers.CharField(allow_blank=True)


class AssessmentSerializer(Shape):
    """What the service made of the reports at a moment; a suggestion only suggests."""

    id = serializers.UUIDField()
    at = serializers.DateTimeField()
    location_trend = serializers.CharField()
    pain_trend = serializers.CharField()
    urgency = serializers.CharField(allow_blank=True)
    reasons = serializers.ListField(child=serializers.CharField())
    numbers = serializers.DictField(
        child=serializers.DictField(child=serializers.FloatField())
    )
    ready_to_progress = serializers.BooleanField()
    suggestion = serializers.DictField(allow_null=True)


class DecisionSerializer(Shape):
    """What a clinician decided, and the revision it made."""

    id = serializers.UUIDField()
    client = serializers.UUIDField(source="client_id")
    kind = serializers.ChoiceField(choices=DECISIONS)
    note = serializers.CharField(allow_blank=True)
    author = Named()
    at = serializers.DateTimeField()
    revision = serializers.UUIDField(source="revision_id", allow_null=True)
    alert = serializers.UUIDField(source="alert_id", allow_null=True)


class ReportFilter(ListFilter):
    """Reports by text or in person; those that count, or voided ones."""

    source = django_filters.ChoiceFilter(
        choices=words(TEXT, IN_PERSON), help_text="How the report came."
    )
    voided = django_filters.BooleanFilter(
        field_name="voided_at",
        lookup_expr="isnull",
        exclude=True,
        help_text="true: voided ones only; false: those that count.",
    )


class Reports(Endpoint):
    """The reports of one client."""

    @answers(
        "list_reports",
        "client.read_symptoms",
        gives=ReportSerializer,
        paged=True,
        filters=ReportFilter,
    )
    def get(self, request: Request, client_id: UUID) -> Any:
        """Reports, newest first."""
        client = people.client(request.user, client_id, "client.read_symptoms")
        return access.reports(request.user, "client.read_symptoms").filter(
            client=client
        )

    @answers(
        "record_report",
        "report.write",
        takes=NewReportSerializer,
        gives=ReportSerializer,
        status=201,
    )
    def post(self, request: Request, data: dict[str, Any], client_id: UUID) -> Any:
        """Record what was heard in the room; the same key again adds nothing."""
        client = people.client(request.user, client_id, "report.write")
        said = {name: value for name, value in data.items() if name != "key"}
        return reporting.record_in_person(
            client,
            SymptomReport(**said),
            program=prescribing.running(client),
            key=str(data["key"]),
            by=request.user,
            now=clock.now(),
        )


class Assessments(Endpoint):
    """The assessments of one client."""

    @answers(
        "list_assessments",
        "client.read_symptoms",
        gives=AssessmentSerializer,
        paged=True,
    )
    def get(self, request: Request, client_id: UUID) -> Any:
        """What the service made of the reports, newest first."""
        client = people.client(request.user, client_id, "client.read_symptoms")
        return access.assessments_of(client)


class Decisions(Endpoint):
    """The decisions about one client."""

    @answers(
        "list_decisions", "client.read_symptoms", gives=DecisionSerializer, paged=True
    )
    def get(self, request: Request, client_id: UUID) -> Any:
        """What was decided, newest first."""
        client = people.client(request.user, client_id, "client.read_symptoms")
        return access.decisions_of(client)
