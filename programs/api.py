"""API: the exercise library, and templates with their numbered versions."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import django_filters
from rest_framework import serializers
from rest_framework.request import Request

from clinic import clock
from clinic.endpoints import Endpoint, answers
from clinic.errors import NotYours
from clinic.filters import ListFilter
from clinic.shapes import Named, Shape, Text
from programs import access, library, publishing
from programs.logic import progression
from programs.plan_shapes import TemplatePlanSerializer, template_plan_of


class ExerciseTextSerializer(Shape):
    """What the client reads, in one language."""

    name = serializers.CharField()
    short_name = serializers.CharField()
    purpose = serializers.CharField()
    steps = serializers.ListField(child=serializers.CharField())
    cautions = serializers.ListField(child=serializers.CharField())
    stop_if = serializers.ListField(child=serializers.CharField())


class ExerciseSerializer(Shape):
    """One exercise: its place on a ladder, its usual dose, its words by language."""

    code = serializers.CharField()
    kind = serializers.CharField()
    direction = serializers.CharField()
    side = serializers.CharField()
    ladder = serializers.CharField()
    rung = serializers.IntegerField()
    dose = serializers.DictField(child=serializers.IntegerField(), source="dose.stated")
    common_range = serializers.DictField(
        child=serializers.ListField(child=serializers.IntegerField())
    )
    texts = serializers.DictField(child=ExerciseTextSerializer())


class DrawnExerciseSerializer(ExerciseSerializer):
    """One exercise with its line drawing."""

    drawing = serializers.SerializerMethodField()

    def get_drawing(self, exercise: Any) -> str:
        """The drawing as SVG text."""
        return library.drawing(exercise.code)


class ExercisesSerializer(Shape):
    """The whole library, in ladder order."""

    exercises = ExerciseSerializer(many=True)


class VersionSerializer(Shape):
    """A numbered version; one that is published never changes."""

    id = serializers.UUIDField()
    number = serializers.IntegerField()
    content = TemplatePlanSerializer()
    change_note = serializers.CharField(allow_blank=True)
    author = Named()
    created_at = serializers.DateTimeField()
    published_at = serializers.DateTimeField(allow_null=True)


class TemplateSerializer(Shape):
    """A template with its versions."""

    id = serializers.UUIDField()
    name = serializers.CharField()
    created_at = serializers.DateTimeField()
    retired_at = serializers.DateTimeField(allow_null=True)
    versions = VersionSerializer(many=True, source="versions.all")


class NewTemplateSerializer(Shape):
    """A new template and what its first draft holds."""

    name = Text(max_length=120)
    plan = TemplatePlanSerializer()


class NewVersionSerializer(Shape):
    """What the template's draft holds, and what changed."""

    plan = TemplatePlanSerializer()
    change_note = Text(max_length=200, allow_blank=True, required=False)


class RowSerializer(Shape):
    """One row of the decision table; the first that holds speaks."""

    row = serializers.CharField(source="id")
    when = serializers.CharField()
    does = serializers.CharField()
    would_change = serializers.CharField()
    source = serializers.CharField()


class DecisionTableSerializer(Shape):
    """The decision table in the order its rows are tried."""

    rows = RowSerializer(many=True)


class TemplateFilter(ListFilter):
    """Templates that are offered, or retired ones."""

    retired = django_filters.BooleanFilter(
        field_name="retired_at",
        lookup_expr="isnull",
        exclude=True,
        help_text="true: retired ones only.",
    )


class Exercises(Endpoint):
    """The exercise library."""

    @answers("list_exercises", "exercise.view", gives=ExercisesSerializer)
    def get(self, request: Request) -> Any:
        """Every exercise with its usual dose, cautions and words."""
        return {"exercises": list(library.load().values())}


class OneExercise(Endpoint):
    """One exercise."""

    @answers("show_exercise", "exercise.view", gives=DrawnExerciseSerializer)
    def get(self, request: Request, code: str) -> Any:
        """The exercise with its drawing."""
        exercise = library.load().get(code)
        if exercise is None:
            raise NotYours
        return exercise


class DecisionTable(Endpoint):
    """The rules behind suggestions."""

    @answers("show_decision_table", "exercise.view", gives=DecisionTableSerializer)
    def get(self, request: Request) -> Any:
        """Each row: when it holds, what it suggests, what undoes it, its source."""
        return {"rows": progression.ROWS}


class Templates(Endpoint):
    """The organization's templates."""

    @answers(
        "list_templates",
        "template.view",
        gives=TemplateSerializer,
        paged=True,
        filters=TemplateFilter,
    )
    def get(self, request: Request) -> Any:
        """Templates with every version, newest template first."""
        return access.templates(request.user, "template.view")

    @answers(
        "draft_template",
        "template.write",
        takes=NewTemplateSerializer,
        gives=TemplateSerializer,
        status=201,
    )
    def post(self, request: Request, data: dict[str, Any]) -> Any:
        """A new template with its first draft."""
        now = clock.now()
        plan, days = template_plan_of(data["plan"], now.date())
        version = publishing.draft_template(
            data["name"], plan, review_after_days=days, by=request.user, now=now
        )
        return version.template


class OneTemplate(Endpoint):
    """One template."""

    @answers("show_template", "template.view", gives=TemplateSerializer)
    def get(self, request: Request, template_id: UUID) -> Any:
        """The template with every version."""
        return access.template(request.user, template_id, "template.view")


class Versions(Endpoint):
    """The draft of a template."""

    @answers(
        "draft_template_version",
        "template.write",
        takes=NewVersionSerializer,
        gives=VersionSerializer,
        status=201,
    )
    def post(self, request: Request, data: dict[str, Any], template_id: UUID) -> Any:
        """The template's draft with this content, new or replaced."""
        now = clock.now()
        plan, days = template_plan_of(data["plan"], now.date())
        return publishing.draft_version(
            access.template(request.user, template_id, "template.write"),
            plan,
            review_after_days=days,
            change_note=data.get("change_note", ""),
            by=request.user,
            now=now,
        )


class Publishing(Endpoint):
    """Publishing a version."""

    @answers("publish_version", "template.publish", gives=VersionSerializer)
    def post(self, request: Request, version_id: UUID) -> Any:
        """Freeze the version: it can be prescribed and never changes again."""
        version = access.template_version(request.user, version_id, "template.publish")
        publishing.publish(version, by=request.user, now=clock.now())
        return version


class Retiring(Endpoint):
    """Retiring a template."""

    @answers("retire_template", "template.publish", status=204)
    def post(self, request: Request, template_id: UUID) -> None:
        """The template is not offered any more; programs built on it go on."""
        template = access.template(request.user, template_id, "template.publish")
        publishing.retire(template, by=request.user, now=clock.now())
