"""API: the morning triage, alerts, and the decisions that answer them."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import django_filters
from rest_framework import serializers
from rest_framework.request import Request

from clinic import access as people
from clinic import clock, on_call
from clinic import shapes as kinds
from clinic.endpoints import Endpoint, answers
from clinic.filters import ListFilter, words
from clinic.shapes import Flag, Named, Shape, Text
from programs.api_reports import AssessmentSerializer, DecisionSerializer
from programs.deciding import Choice
from programs.models.reports import DECISIONS
from programs.plan_shapes import PlanSerializer, plan_of
from reminders import access, alerting, probes, snoozing, triage
from reminders.logic.snooze import LONGEST_REASON
from reminders.models import alerts as states

STATES = (states.OPEN, states.ACKNOWLEDGED, states.RESOLVED)
URGENCIES = ("emergency", "same_day", "next_day", "review")


class ReasonSerializer(Shape):
    """One reason of an alert: since when, and the text that gave it."""

    reason = serializers.CharField()
    urgency = serializers.ChoiceField(choices=URGENCIES)
    at = serializers.DateTimeField()
    inbound = serializers.UUIDField(allow_null=True)


class AlertSerializer(Shape):
    """The client's one alert chain: what raised it, who has it, until when to act.

    `snoozed_until`: when set, it is put away until then, or until it gets worse.
    """

    id = serializers.UUIDField()
    client = Named()
    site = serializers.UUIDField(source="site_id")
    urgency = serializers.ChoiceField(choices=URGENCIES)
    state = serializers.ChoiceField(choices=STATES)
    reasons = ReasonSerializer(many=True)
    opened_at = serializers.DateTimeField()
    raised_at = serializers.DateTimeField()
    act_by = serializers.DateTimeField()
    exercise = serializers.CharField(allow_blank=True)
    acknowledged_by = Named(allow_null=True)
    acknowledged_at = serializers.DateTimeField(allow_null=True)
    resolved_by = Named(allow_null=True)
    resolved_at = serializers.DateTimeField(allow_null=True)
    snoozed_until = serializers.DateTimeField(allow_null=True)
    snoozed_by = Named(allow_null=True)
    snooze_reason = serializers.CharField(allow_blank=True)


class AlertEventSerializer(Shape):
    """What happened to an alert; `note` is why it was put away."""

    at = serializers.DateTimeField()
    kind = serializers.CharField()
    urgency = serializers.CharField()
    reason = serializers.CharField(allow_blank=True)
    actor = serializers.CharField()
    note = serializers.CharField(allow_blank=True)


class AlertHistorySerializer(AlertSerializer):
    """An alert with everything that happened to it."""

    events = AlertEventSerializer(many=True, source="events.all")


class SaidSerializer(Shape):
    """A client's text and how it was read; `reply.evidence` marks the words."""

    id = serializers.UUIDField()
    received_at = serializers.DateTimeField()
    body = serializers.CharField()
    state = serializers.CharField()
    reply = serializers.DictField(allow_null=True)


class TriageRowSerializer(Shape):
    """One client to look at, with the evidence."""

    alert = AlertSerializer()
    held = serializers.BooleanField()
    overdue = serializers.BooleanField()
    last_text = SaidSerializer(allow_null=True)
    raising = SaidSerializer(allow_null=True)
    assessment = AssessmentSerializer(allow_null=True)


class TriageSerializer(Shape):
    """The morning list, what matters first.

    `behind_since`: when set, replies or reminders wait and the list may be late.
    `unwatched`: sites with clients and nobody on call, whose emergencies page no one.
    `snoozed`: what is put away until a day, the soonest back first.
    """

    behind_since = serializers.DateTimeField(allow_null=True)
    unwatched = Named(many=True)
    rows = TriageRowSerializer(many=True)
    snoozed = AlertSerializer(many=True)


class ChoiceSerializer(Shape):
    """A decision: progress and reduce need a plan, a pause may have a last day.

    `resolves`: false leaves the alert open.
    """

    kind = kinds.Choice(choices=DECISIONS)
    note = Text(max_length=2000, allow_blank=True, required=False)
    plan = PlanSerializer(allow_null=True, required=False)
    until = serializers.DateField(allow_null=True, required=False)
    resolves = Flag(required=False)


class SnoozeSerializer(Shape):
    """Until which day the alert is put away, on the site's calendar, and why."""

    until = serializers.DateField()
    reason = Text(max_length=LONGEST_REASON)


class TriageFilter(ListFilter):
    """The list of one site."""

    site = django_filters.UUIDFilter(help_text="The site's id.")


class AlertFilter(ListFilter):
    """Alerts in one state, of one urgency, site or client."""

    state = django_filters.ChoiceFilter(
        choices=words(*STATES), help_text="Where the alert stands."
    )
    urgency = django_filters.ChoiceFilter(
        choices=words(*URGENCIES), help_text="How soon to act."
    )
    site = django_filters.UUIDFilter(field_name="site_id", help_text="The site's id.")
    client = django_filters.UUIDFilter(
        field_name="client_id", help_text="The client's id."
    )


class Triage(Endpoint):
    """The morning triage."""

    @answers("show_triage", "triage.view", gives=TriageSerializer, filters=TriageFilter)
    def get(self, request: Request) -> Any:
        """At most 50 clients to look at, what matters first."""
        now, site_id = clock.now(), self.chosen()["site"]
        site = site_id and people.site(request.user, site_id, "triage.view")
        sites = people.sites(request.user, "triage.view")
        return {
            "behind_since": probes.behind_since(now),
            "unwatched": on_call.unwatched(sites),
            "rows": triage.rows(request.user, now, site=site),
            "snoozed": triage.snoozed(request.user, now, site=site),
        }


class Alerts(Endpoint):
    """Alerts."""

    @answers(
        "list_alerts",
        "triage.view",
        gives=AlertSerializer,
        paged=True,
        filters=AlertFilter,
    )
    def get(self, request: Request) -> Any:
        """The alerts of my sites, newest first."""
        return access.alerts(request.user, "triage.view")


class OneAlert(Endpoint):
    """One alert."""

    @answers("show_alert", "triage.view", gives=AlertHistorySerializer)
    def get(self, request: Request, alert_id: UUID) -> Any:
        """The alert and everything that happened to it."""
        return access.alert(request.user, alert_id, "triage.view")


class Acknowledging(Endpoint):
    """Taking an alert."""

    @answers("acknowledge_alert", "alert.acknowledge", gives=AlertSerializer)
    def post(self, request: Request, alert_id: UUID) -> Any:
        """I have it: paging ends. Again changes nothing."""
        alert = access.alert(request.user, alert_id, "alert.acknowledge")
        return alerting.acknowledge(alert, by=request.user, now=clock.now())


class Snoozing(Endpoint):
    """Putting an alert away."""

    @answers(
        "snooze_alert", "alert.snooze", takes=SnoozeSerializer, gives=AlertSerializer
    )
    def post(self, request: Request, data: dict[str, Any], alert_id: UUID) -> Any:
        """Put it away until a day; it is back at once if it gets worse."""
        alert = access.alert(request.user, alert_id, "alert.snooze")
        until, reason = data["until"], data["reason"]
        return snoozing.snooze(alert, until, reason, by=request.user, now=clock.now())


class Returning(Endpoint):
    """Bringing an alert back."""

    @answers("return_alert", "alert.snooze", gives=AlertSerializer)
    def post(self, request: Request, alert_id: UUID) -> Any:
        """Back on the list now. Again changes nothing."""
        alert = access.alert(request.user, alert_id, "alert.snooze")
        return snoozing.bring_back(alert, by=request.user, now=clock.now())


class AlertDeciding(Endpoint):
    """Deciding on an alert."""

    @answers(
        "decide_alert",
        "alert.decide",
        takes=ChoiceSerializer,
        gives=DecisionSerializer,
        status=201,
    )
    def post(self, request: Request, data: dict[str, Any], alert_id: UUID) -> Any:
        """Decide, and resolve the alert; the next reminder carries the decision."""
        alert = access.alert(request.user, alert_id, "alert.decide")
        return alerting.decide(
            alert.client,
            _choice(data),
            by=request.user,
            now=clock.now(),
            alert=alert,
            resolves=data.get("resolves", True),
        )


class ClientDeciding(Endpoint):
    """Deciding on a client."""

    @answers(
        "decide_client",
        "alert.decide",
        takes=ChoiceSerializer,
        gives=DecisionSerializer,
        status=201,
    )
    def post(self, request: Request, data: dict[str, Any], client_id: UUID) -> Any:
        """Decide on a client, and resolve their alert if one is open."""
        client = people.client(request.user, client_id, "alert.decide")
        return alerting.decide(
            client,
            _choice(data),
            by=request.user,
            now=clock.now(),
            resolves=data.get("resolves", True),
        )


def _choice(data: dict[str, Any]) -> Choice:
    plan = data.get("plan")
    return Choice(
        kind=data["kind"],
        note=data.get("note", ""),
        plan=plan_of(plan) if plan else None,
        until=data.get("until"),
    )
