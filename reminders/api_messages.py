"""API: the thread of texts with a client, texting back, and front-desk tasks."""

from __future__ import annotations

import base64
import binascii
import json
from datetime import datetime
from typing import Any
from uuid import UUID

import django_filters
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request

from clinic import access as people
from clinic import clock
from clinic.endpoints import Endpoint, answers
from clinic.errors import BadInput
from clinic.filters import ListFilter
from clinic.shapes import Flag, Named, Shape, SymptomShape, Text
from reminders import access, desk, exchange, texting
from reminders.exchange import Place
from reminders.models import DeskTask, Inbound


class MessageSerializer(SymptomShape):
    """One text. What it says, and of which kind it is, shows for people who may
    read symptoms: a safety text's kind alone tells what was reported.

    `direction`: in (from the client) or out; `state`: where the text stands.
    """

    symptoms = ("body", "kind", "reply")

    id = serializers.UUIDField()
    direction = serializers.SerializerMethodField()
    at = serializers.DateTimeField()
    state = serializers.CharField()
    author = serializers.SerializerMethodField()
    kind = serializers.CharField(required=False)
    body = serializers.CharField(required=False)
    reply = serializers.DictField(required=False, allow_null=True)

    def get_direction(self, row: Any) -> str:
        """From the client, or to them."""
        return "in" if isinstance(row, Inbound) else "out"

    @extend_schema_field(Named(allow_null=True))
    def get_author(self, row: Any) -> Any:
        """The person who wrote it; null for the service and the client."""
        author = getattr(row, "author", None)
        return Named(author).data if author else None


class ThreadSerializer(Shape):
    """Texts, newest first; `next` is the cursor of the older ones."""

    next = serializers.CharField(allow_null=True)
    results = MessageSerializer(many=True)


class BodySerializer(Shape):
    """A text as it would leave."""

    body = Text(max_length=1600)


class MessageBodySerializer(BodySerializer):
    """A text to send; `despite_health_words`: it must stand as it is."""

    despite_health_words = Flag(required=False)


class CulpritSerializer(Shape):
    """A sign that makes the text longer, and what may stand for it."""

    index = serializers.IntegerField()
    character = serializers.CharField()
    plain = serializers.CharField(allow_null=True, allow_blank=True)


class PreviewSerializer(Shape):
    """How the text would leave (3GPP TS 23.038), and words a bystander could read."""

    encoding = serializers.CharField(source="segments.encoding")
    units = serializers.IntegerField(source="segments.units")
    parts = serializers.IntegerField(source="segments.parts")
    culprits = CulpritSerializer(many=True, source="segments.culprits")
    health_words = serializers.ListField(child=serializers.CharField())
    most_parts = serializers.SerializerMethodField()

    def get_most_parts(self, _: Any) -> int:
        """More parts than this are refused."""
        return texting.MOST_PARTS


class DeskTaskSerializer(Shape):
    """A front-desk task by its code; never what the client wrote.

    `number`: the unknown number a text came from, to telephone it.
    """

    id = serializers.UUIDField()
    code = serializers.CharField()
    says = serializers.SerializerMethodField()
    client = Named(allow_null=True)
    site = serializers.UUIDField(source="site_id", allow_null=True)
    number = serializers.SerializerMethodField()
    at = serializers.DateTimeField()
    done_at = serializers.DateTimeField(allow_null=True)
    done_by = Named(allow_null=True)

    def get_says(self, task: DeskTask) -> str:
        """What to do."""
        return desk.CODES.get(task.code, "")

    def get_number(self, task: DeskTask) -> str | None:
        """Only where the task is about a number nobody has."""
        return task.detail if task.code == "unknown_number" else None


class PageFilter(ListFilter):
    """Where the page starts and how long it is."""

    cursor = django_filters.CharFilter(
        max_length=200, help_text="`next` of the page before."
    )
    page_size = django_filters.NumberFilter(
        min_value=1, max_value=100, help_text="1 to 100; 50 when left out."
    )


class DeskTaskFilter(ListFilter):
    """Tasks that wait, or done ones."""

    done = django_filters.BooleanFilter(
        field_name="done_at",
        lookup_expr="isnull",
        exclude=True,
        help_text="true: done ones only; false: those that wait.",
    )


class Messages(Endpoint):
    """The texts with one client."""

    @answers("list_messages", "client.view", gives=ThreadSerializer, filters=PageFilter)
    def get(self, request: Request, client_id: UUID) -> Any:
        """Texts both ways, newest first."""
        client = people.client(request.user, client_id, "client.view")
        self.reading_for(client)
        page = self.chosen()
        most = int(page["page_size"] or 50)
        before = _place(page["cursor"]) if page["cursor"] else None
        found = exchange.texts(client, before=before, most=most)
        more = len(found) == most
        return {
            "next": _cursor(exchange.place_of(found[-1])) if more else None,
            "results": found,
        }

    @answers(
        "send_message",
        "message.send",
        takes=MessageBodySerializer,
        gives=MessageSerializer,
        status=201,
        sparing=True,
    )
    def post(self, request: Request, data: dict[str, Any], client_id: UUID) -> Any:
        """Text back, in the client's daytime."""
        client = people.client(request.user, client_id, "message.send")
        self.reading_for(client)
        row = texting.write_to(client, **data, by=request.user, now=clock.now())
        row.at = row.due_at
        return row


class MessagePreview(Endpoint):
    """Measuring a text before it is sent."""

    @answers(
        "preview_message", "message.send", takes=BodySerializer, gives=PreviewSerializer
    )
    def post(self, request: Request, data: dict[str, Any], client_id: UUID) -> Any:
        """Parts, signs that cost, and words that tell a bystander too much."""
        client = people.client(request.user, client_id, "message.send")
        return texting.preview(data["body"], client.language)


class DeskTasks(Endpoint):
    """The front desk's tasks."""

    @answers(
        "list_desk_tasks",
        "desk.view",
        gives=DeskTaskSerializer,
        paged=True,
        filters=DeskTaskFilter,
    )
    def get(self, request: Request) -> Any:
        """Tasks of my sites, newest first."""
        return access.desk_tasks(request.user, "desk.view")


class DeskTaskClosing(Endpoint):
    """Doing a task."""

    @answers("close_desk_task", "desk.close", gives=DeskTaskSerializer)
    def post(self, request: Request, task_id: UUID) -> Any:
        """The task is done."""
        task = access.desk_task(request.user, task_id, "desk.close")
        desk.close_task(task, by=request.user, now=clock.now())
        return task


def _cursor(place: Place) -> str:
    raw = json.dumps([place.at.isoformat(), str(place.id)])
    return base64.urlsafe_b64encode(raw.encode()).decode()


def _place(cursor: str) -> Place:
    try:
        at, row_id = json.loads(base64.urlsafe_b64decode(cursor.encode()))
        place = Place(datetime.fromisoformat(at), UUID(row_id))
    except (ValueError, TypeError, AttributeError, binascii.Error) as error:
        raise BadInput(
            "Take the cursor from `next` of the page before.", field="cursor"
        ) from error
    if place.at.tzinfo is None:
        raise BadInput("This cursor is not one of ours.", field="cursor")
    return place
