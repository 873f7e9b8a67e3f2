"""API: clients' home programs, their revisions, holding, pausing and stopping."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from rest_framework import serializers
from rest_framework.request import Request

from clinic import access as people
from clinic import clock
from clinic.endpoints import Endpoint, answers
from clinic.shapes import Named, Reference, Shape, Text
from programs import access, prescribing
from programs.models.programs import STATES
from programs.plan_shapes import (
    PlanSerializer,
    StartingPointSerializer,
    StartSerializer,
    plan_of,
    start_of,
)


class RevisionSerializer(PlanSerializer):
    """A whole state of the program, with who wrote it and why."""

    id = serializers.UUIDField()
    number = serializers.IntegerField()
    author = Named(allow_null=True)
    reason = serializers.CharField()
    at = serializers.DateTimeField()


class ProgramSummarySerializer(Shape):
    """A program without its content."""

    id = serializers.UUIDField()
    client = serializers.UUIDField(source="client_id")
    template_version = serializers.UUIDField(
        source="template_version_id", allow_null=True
    )
    state = serializers.ChoiceField(choices=STATES)
    paused_until = serializers.DateField(allow_null=True)
    started_at = serializers.DateTimeField()
    stopped_at = serializers.DateTimeField(allow_null=True)


class ProgramSerializer(ProgramSummarySerializer):
    """A program with its starting point and the revision in force."""

    starting_point = StartingPointSerializer()
    revision = RevisionSerializer(source="in_force")


class PrescriptionSerializer(Shape):
    """A program for a client, and where the client stands."""

    plan = PlanSerializer()
    start = StartSerializer()
    template_version = Reference(allow_null=True, required=False)


class NewRevisionSerializer(Shape):
    """The whole program from now on, and why it changes."""

    plan = PlanSerializer()
    reason = Text(max_length=500)


class PauseSerializer(Shape):
    """The last day of the pause; null until somebody goes on."""

    until = serializers.DateField(allow_null=True)


class ClientPrograms(Endpoint):
    """The programs of one client."""

    @answers(
        "list_programs", "program.view", gives=ProgramSummarySerializer, paged=True
    )
    def get(self, request: Request, client_id: UUID) -> Any:
        """Every program the client was on, newest first."""
        client = people.client(request.user, client_id, "program.view")
        return access.programs(request.user, "program.view").filter(client=client)

    @answers(
        "prescribe",
        "program.write",
        takes=PrescriptionSerializer,
        gives=ProgramSerializer,
        status=201,
    )
    def post(self, request: Request, data: dict[str, Any], client_id: UUID) -> Any:
        """Put the client on a program; one at a time."""
        client = people.client(request.user, client_id, "program.write")
        version_id = data.get("template_version")
        version = version_id and access.template_version(
            request.user, version_id, "template.view"
        )
        program = prescribing.prescribe(
            client,
            plan_of(data["plan"]),
            start_of(data["start"]),
            by=request.user,
            now=clock.now(),
            version=version,
        )
        return _shown(program)


class OneProgram(Endpoint):
    """One program."""

    @answers("show_program", "program.view", gives=ProgramSerializer)
    def get(self, request: Request, program_id: UUID) -> Any:
        """The program, its starting point and the revision in force."""
        return _shown(access.program(request.user, program_id, "program.view"))


class Revisions(Endpoint):
    """The revisions of one program."""

    ordering = "-number"

    @answers("list_revisions", "program.view", gives=RevisionSerializer, paged=True)
    def get(self, request: Request, program_id: UUID) -> Any:
        """Every state of the program with author and reason, newest first."""
        return access.revisions(request.user, program_id, "program.view")

    @answers(
        "revise_program",
        "program.write",
        takes=NewRevisionSerializer,
        gives=RevisionSerializer,
        status=201,
    )
    def post(self, request: Request, data: dict[str, Any], program_id: UUID) -> Any:
        """Change the program; the next reminder carries the new dose."""
        return prescribing.revise(
            access.program(request.user, program_id, "program.write"),
            plan_of(data["plan"]),
            by=request.user,
            reason=data["reason"],
            now=clock.now(),
        )


class Hold(Endpoint):
    """Holding a program."""

    @answers("hold_program", "program.write", gives=ProgramSerializer)
    def post(self, request: Request, program_id: UUID) -> Any:
        """Stop asking for exercises at once, until a clinician decides."""
        program = access.program(request.user, program_id, "program.write")
        prescribing.hold(program, actor=request.user, now=clock.now())
        return _shown(program)


class Pause(Endpoint):
    """Pausing a program."""

    @answers(
        "pause_program", "program.write", takes=PauseSerializer, gives=ProgramSerializer
    )
    def post(self, request: Request, data: dict[str, Any], program_id: UUID) -> Any:
        """No reminders until the day given, or until somebody goes on."""
        program = access.program(request.user, program_id, "program.write")
        until = data["until"]
        prescribing.pause(program, until=until, by=request.user, now=clock.now())
        return _shown(program)


class GoOn(Endpoint):
    """Ending a hold or a pause."""

    @answers("resume_program", "program.write", gives=ProgramSerializer)
    def post(self, request: Request, program_id: UUID) -> Any:
        """Reminders ask for the exercises again."""
        program = access.program(request.user, program_id, "program.write")
        prescribing.go_on(program, by=request.user, now=clock.now())
        return _shown(program)


class Stop(Endpoint):
    """Stopping a program."""

    @answers("stop_program", "program.write", gives=ProgramSerializer)
    def post(self, request: Request, program_id: UUID) -> Any:
        """End the program for good."""
        program = access.program(request.user, program_id, "program.write")
        prescribing.stop(program, by=request.user, now=clock.now())
        return _shown(program)


def _shown(program: Any) -> Any:
    program.in_force = prescribing.current_revision(program)
    return program
