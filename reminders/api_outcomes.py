"""API: outcome measures, recorded, voided, and asked of the client by text."""

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
from clinic.shapes import (
    Choice,
    Flag,
    Moment,
    Named,
    Number,
    Reference,
    Shape,
    Text,
    Whole,
)
from programs import measuring
from programs.logic.outcomes.measures import MEASURES
from programs.models.outcomes import SOURCES
from reminders import access, asking


class ActivitySerializer(Shape):
    """One of the client's own activities; no rating: not rated this time."""

    name = Text(max_length=80)
    rating = Whole(min_value=0, max_value=10, allow_null=True, required=False)


class OutcomeAnswersSerializer(Shape):
    """The fields of the measure; a field of another measure is refused.

    nprs: pain. rmdq: ticked and none, or total. psfs: activities. grc: change.
    odi: points and answered, or percent. start_back: total and distress.
    """

    pain = Number(required=False)
    ticked = serializers.ListField(child=Whole(), max_length=24, required=False)
    none = Flag(required=False)
    total = Whole(required=False)
    activities = ActivitySerializer(many=True, required=False)
    change = Whole(required=False)
    points = Whole(required=False)
    answered = Whole(required=False)
    percent = Number(required=False)
    distress = Whole(required=False)


class NewOutcomeSerializer(Shape):
    """What the client answered in the room or on paper.

    `key` is made by the device: the same answer sent twice is kept once.
    """

    key = Reference()
    measure = Choice(choices=sorted(MEASURES))
    at = Moment()
    answers = OutcomeAnswersSerializer()


class OutcomeSerializer(Shape):
    """One measure taken once; a voided one no longer counts."""

    id = serializers.UUIDField()
    client = serializers.UUIDField(source="client_id")
    measure = serializers.ChoiceField(choices=sorted(MEASURES))
    source = serializers.ChoiceField(choices=SOURCES)
    at = serializers.DateTimeField()
    score = serializers.FloatField()
    missing = serializers.IntegerField()
    answers = OutcomeAnswersSerializer(source="said")
    by = Named(allow_null=True)
    recorded_at = serializers.DateTimeField()
    voided_at = serializers.DateTimeField(
        source="voided.at", allow_null=True, default=None
    )
    void_reason = serializers.CharField(source="voided.reason", default="")

    def to_representation(self, instance: Any) -> Any:
        """Only the fields of its measure stand among the answers."""
        shown = super().to_representation(instance)
        said = instance.said
        shown["answers"] = {
            name: value for name, value in shown["answers"].items() if name in said
        }
        return shown


class VoidOutcomeSerializer(Shape):
    """Why the answer does not count."""

    reason = Text(max_length=500)


class NewAskSerializer(Shape):
    """The measure to ask; only one whose words may be shown to the client."""

    measure = Choice(choices=sorted(MEASURES))


class AskSerializer(Shape):
    """A page the client may answer once, until it closes; its link is not shown."""

    id = serializers.UUIDField()
    client = serializers.UUIDField(source="client_id")
    measure = serializers.ChoiceField(choices=sorted(MEASURES))
    asked_at = serializers.DateTimeField()
    expires_at = serializers.DateTimeField()


class OutcomeFilter(ListFilter):
    """Answers of one measure; those that count, or voided ones."""

    measure = django_filters.ChoiceFilter(
        choices=words(*sorted(MEASURES)), help_text="One measure."
    )
    voided = django_filters.BooleanFilter(
        field_name="void",
        lookup_expr="isnull",
        exclude=True,
        help_text="true: voided ones only; false: those that count.",
    )


class Outcomes(Endpoint):
    """The outcome measures of one client."""

    @answers(
        "list_outcomes",
        "client.read_symptoms",
        gives=OutcomeSerializer,
        paged=True,
        filters=OutcomeFilter,
    )
    def get(self, request: Request, client_id: UUID) -> Any:
        """Answers, the last recorded first."""
        return access.outcomes(request.user, client_id, "client.read_symptoms")

    @answers(
        "record_outcome",
        "outcome.write",
        takes=NewOutcomeSerializer,
        gives=OutcomeSerializer,
        status=201,
    )
    def post(self, request: Request, data: dict[str, Any], client_id: UUID) -> Any:
        """Record what was answered; the same key again adds nothing."""
        return asking.recorded(
            people.client(request.user, client_id, "outcome.write"),
            data["measure"],
            plain(data["answers"]),
            at=data["at"],
            key=str(data["key"]),
            by=request.user,
            now=clock.now(),
        )


class Voiding(Endpoint):
    """Voiding an answer."""

    @answers(
        "void_outcome",
        "outcome.write",
        takes=VoidOutcomeSerializer,
        gives=OutcomeSerializer,
    )
    def post(
        self, request: Request, data: dict[str, Any], client_id: UUID, outcome_id: UUID
    ) -> Any:
        """Take the answer out of the course; it stays on the record."""
        row = access.outcome(request.user, client_id, outcome_id, "outcome.write")
        measuring.void(row, reason=data["reason"], by=request.user, now=clock.now())
        return row


class Asks(Endpoint):
    """Pages sent to one client."""

    @answers(
        "ask_outcome",
        "outcome.write",
        takes=NewAskSerializer,
        gives=AskSerializer,
        status=201,
        sparing=True,
    )
    def post(self, request: Request, data: dict[str, Any], client_id: UUID) -> Any:
        """Text the client a page of the measure; an older open one closes."""
        client = people.client(request.user, client_id, "outcome.write")
        return asking.ask_by_text(
            client, data["measure"], by=request.user, now=clock.now()
        )


def plain(value: Any) -> Any:
    """The checked answers as plain dictionaries and lists, as they are kept."""
    if isinstance(value, dict):
        return {name: plain(inner) for name, inner in value.items()}
    if isinstance(value, list):
        return [plain(inner) for inner in value]
    return value
