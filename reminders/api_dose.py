"""API: suggestions and their answers, holds that may rise, rates, load, what-if."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from rest_framework import serializers
from rest_framework.request import Request

from clinic import access as people
from clinic import clock
from clinic.endpoints import Endpoint, answers
from clinic.errors import BadInput, Conflict
from clinic.models import Client
from clinic.shapes import Choice, Flag, Named, Shape, Text
from programs import prescribing, stepping
from programs.models import HomeProgram
from programs.models.suggestions import STATES
from programs.plan_shapes import PlanSerializer, plan_of
from reminders import access, adapting, agreeing, dose_view, surroundings, what_if_view
from reminders.logic.load import LEVELS

ANSWERS = ("accept", "edit", "decline")
PERIODS = (7, 28)


class SuggestionSerializer(Shape):
    """What the decision table suggested, why, what would change it, the answer.

    `exercise` empty: the whole program. `target`: the exercise to exchange it for.
    """

    id = serializers.UUIDField()
    row = serializers.CharField()
    action = serializers.CharField()
    exercise = serializers.CharField(allow_blank=True)
    target = serializers.CharField(allow_blank=True)
    dose = serializers.DictField(allow_null=True)
    sentence = serializers.CharField()
    would_change = serializers.CharField()
    source = serializers.CharField()
    first_at = serializers.DateTimeField()
    last_at = serializers.DateTimeField()
    state = serializers.ChoiceField(choices=STATES)
    answered_by = Named(allow_null=True)
    answered_at = serializers.DateTimeField(allow_null=True)
    reason = serializers.CharField(allow_blank=True)
    revision = serializers.UUIDField(source="revision_id", allow_null=True)
    decision = serializers.UUIDField(source="decision_id", allow_null=True)


class AnswerSerializer(Shape):
    """accept; edit, with a plan and a reason; decline, with a reason."""

    answer = Choice(choices=ANSWERS)
    reason = Text(max_length=500, allow_blank=True, required=False)
    plan = PlanSerializer(allow_null=True, required=False)


class RefusalSerializer(Shape):
    """Why a hold does not rise now, and what lifts it."""

    code = serializers.CharField()
    why = serializers.CharField()
    lifts = serializers.CharField()


class RisingSerializer(Shape):
    """One hold with a pre-approved range, in seconds."""

    exercise = serializers.CharField()
    name = serializers.CharField()
    hold = serializers.IntegerField()
    low = serializers.IntegerField()
    high = serializers.IntegerField()
    is_on = serializers.BooleanField()
    refusals = RefusalSerializer(many=True)


class HoldsSerializer(Shape):
    """Every hold of the program that has a range."""

    holds = RisingSerializer(many=True)


class ApprovalSerializer(Shape):
    """Let one hold rise inside its range, or stop it."""

    exercise = Text(max_length=32)
    on = Flag()


class HoldStepSerializer(Shape):
    """One hold that rose without asking; taken back when `undone_at` is set."""

    id = serializers.UUIDField()
    exercise = serializers.CharField()
    before = serializers.IntegerField()
    after = serializers.IntegerField()
    at = serializers.DateTimeField()
    approved_by = Named(source="approval.by", allow_null=True)
    revision = serializers.UUIDField(source="revision_id")
    undone_at = serializers.DateTimeField(allow_null=True)
    undone_by = Named(allow_null=True)


class RatesSerializer(Shape):
    """Three rates of a period, 0-1, to be read together; null when nothing was asked.

    reply: answered of sent reminders; confirmed: done of due sessions, silence not
    known; conditional: done of those spoken of.
    """

    days = serializers.IntegerField()
    sent = serializers.IntegerField()
    answered = serializers.IntegerField()
    prescribed = serializers.IntegerField()
    done = serializers.FloatField()
    not_done = serializers.FloatField()
    silent = serializers.FloatField()
    unprompted = serializers.IntegerField()
    reply_rate = serializers.FloatField(allow_null=True)
    confirmed_rate = serializers.FloatField(allow_null=True)
    conditional_rate = serializers.FloatField(allow_null=True)


class AdherenceSerializer(Shape):
    """The rates of the last 7 and 28 days."""

    periods = RatesSerializer(many=True)


class LoadSerializer(Shape):
    """How often the client is reminded, and why."""

    level = serializers.ChoiceField(choices=LEVELS)
    words = serializers.CharField()
    per_day = serializers.IntegerField()
    times_per_day = serializers.IntegerField(source="times")
    fixed = serializers.BooleanField()
    why = serializers.CharField(allow_blank=True)


class FixSerializer(Shape):
    """A level that no rule changes; null leaves it to the rules."""

    level = Choice(choices=LEVELS, allow_null=True)


class WhatIfStepSerializer(Shape):
    """One step the rule would have made, in seconds."""

    before = serializers.IntegerField()
    after = serializers.IntegerField()


class WhatIfSuggestionSerializer(Shape):
    """What the decision table would have said."""

    row = serializers.CharField()
    action = serializers.CharField()
    sentence = serializers.CharField()
    would_change = serializers.CharField()
    source = serializers.CharField()


class WhatIfDaySerializer(Shape):
    """One day under the rule; holds in seconds."""

    day = serializers.DateField()
    reports = serializers.IntegerField()
    pain = serializers.FloatField(allow_null=True)
    hold = serializers.IntegerField()
    real = serializers.IntegerField()
    steps = WhatIfStepSerializer(many=True)
    refusals = RefusalSerializer(many=True)
    suggestion = WhatIfSuggestionSerializer(allow_null=True)


class WhatIfSerializer(Shape):
    """One exercise with a hold over the last 14 days."""

    exercise = serializers.CharField()
    name = serializers.CharField()
    low = serializers.IntegerField()
    high = serializers.IntegerField()
    is_ranged = serializers.BooleanField()
    days = WhatIfDaySerializer(many=True)


class WhatIfsSerializer(Shape):
    """Every exercise with a hold."""

    exercises = WhatIfSerializer(many=True)


class Suggestions(Endpoint):
    """The suggestions about one client."""

    ordering = "-first_at"

    @answers(
        "list_suggestions",
        "client.read_symptoms",
        gives=SuggestionSerializer,
        paged=True,
    )
    def get(self, request: Request, client_id: UUID) -> Any:
        """Every suggestion with its answer, newest first."""
        return access.suggestions(request.user, client_id, "client.read_symptoms")


class Answering(Endpoint):
    """Answering a suggestion."""

    @answers(
        "answer_suggestion",
        "suggestion.answer",
        takes=AnswerSerializer,
        gives=SuggestionSerializer,
    )
    def post(
        self,
        request: Request,
        data: dict[str, Any],
        client_id: UUID,
        suggestion_id: UUID,
    ) -> Any:
        """Accept, edit or decline; a changed dose resolves an alert about symptoms."""
        kept = access.suggestion(
            request.user, client_id, suggestion_id, "suggestion.answer"
        )
        word, reason = data["answer"], data.get("reason", "")
        who = {"by": request.user, "now": clock.now()}
        if word == "accept":
            return agreeing.accept(kept, note=reason, **who)
        if word == "decline":
            return agreeing.decline(kept, reason=reason, **who)
        if not data.get("plan"):
            raise BadInput("Give the program from now on.", field="plan")
        return agreeing.edit(kept, plan_of(data["plan"]), reason=reason, **who)


class Holds(Endpoint):
    """Holds that may rise without asking."""

    @answers("list_holds", "client.read_symptoms", gives=HoldsSerializer)
    def get(self, request: Request, client_id: UUID) -> Any:
        """Each hold with a range: on or off, and what forbids a step now."""
        client = people.client(request.user, client_id, "client.read_symptoms")
        return _holds(client)

    @answers(
        "approve_hold", "hold.approve", takes=ApprovalSerializer, gives=HoldsSerializer
    )
    def post(self, request: Request, data: dict[str, Any], client_id: UUID) -> Any:
        """Let one hold rise inside its range, or stop it."""
        client = people.client(request.user, client_id, "hold.approve")
        program, now = _program(client), clock.now()
        stepping.approve(
            program, data["exercise"], on=data["on"], by=request.user, now=now
        )
        return _holds(client)


class HoldSteps(Endpoint):
    """Holds that rose."""

    ordering = "-at"

    @answers(
        "list_hold_steps", "client.read_symptoms", gives=HoldStepSerializer, paged=True
    )
    def get(self, request: Request, client_id: UUID) -> Any:
        """Every step that was made without asking, newest first."""
        return access.hold_steps(request.user, client_id, "client.read_symptoms")


class Undoing(Endpoint):
    """Taking a step back."""

    @answers("undo_hold_step", "hold.approve", gives=HoldStepSerializer)
    def post(self, request: Request, client_id: UUID, step_id: UUID) -> Any:
        """The hold before it, and no further step until it is approved anew."""
        step = access.hold_step(request.user, client_id, step_id, "hold.approve")
        return stepping.undo(step, by=request.user, now=clock.now())


class Adherence(Endpoint):
    """The three rates of one client."""

    @answers("show_adherence", "client.read_symptoms", gives=AdherenceSerializer)
    def get(self, request: Request, client_id: UUID) -> Any:
        """Replies, sessions confirmed, sessions of those spoken of: all three."""
        client = people.client(request.user, client_id, "client.read_symptoms")
        program, now = _program(client), clock.now()
        return {
            "periods": [_rates(client, program, now, days) for days in PERIODS],
        }


class Load(Endpoint):
    """How often the client is reminded."""

    @answers("show_load", "client.read_symptoms", gives=LoadSerializer)
    def get(self, request: Request, client_id: UUID) -> Any:
        """The level in force and why."""
        client = people.client(request.user, client_id, "client.read_symptoms")
        return _load(client)

    @answers("fix_load", "load.fix", takes=FixSerializer, gives=LoadSerializer)
    def put(self, request: Request, data: dict[str, Any], client_id: UUID) -> Any:
        """Fix the level, or leave it to the rules again."""
        client = people.client(request.user, client_id, "load.fix")
        adapting.fix(client, data["level"], by=request.user, now=clock.now())
        return _load(client)


class WhatIf(Endpoint):
    """The last 14 days under the rule."""

    @answers("show_what_if", "client.read_symptoms", gives=WhatIfsSerializer)
    def get(self, request: Request, client_id: UUID) -> Any:
        """When the rule would have lengthened a hold, and what held it back."""
        client = people.client(request.user, client_id, "client.read_symptoms")
        program, now = _program(client), clock.now()
        return {"exercises": what_if_view.view(client, program, now)}


def _rates(
    client: Client, program: HomeProgram, now: datetime, days: int
) -> dict[str, Any]:
    found = surroundings.sessions(client, program, now, days=days)
    names = [name for name in RatesSerializer().fields if name != "days"]
    return {"days": days} | {name: getattr(found, name) for name in names}


def _holds(client: Client) -> dict[str, Any]:
    view = dose_view.rising(client, _program(client), clock.now())
    return {"holds": view}


def _load(client: Client) -> dose_view.Load:
    program = _program(client)
    times = prescribing.current_revision(program).times_per_day
    return dose_view.load_of(program, times)


def _program(client: Client) -> HomeProgram:
    program = prescribing.running(client)
    if program is None:
        raise Conflict("The client is on no program: prescribe one.")
    return program
