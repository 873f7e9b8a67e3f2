"""The morning list: every unresolved alert a person may see, what matters first.

A fixed number of queries whatever the size of the site: alerts, held programs, last
texts, and two weeks of reports for the charts.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet, Subquery

from clinic import access
from clinic.models import Client, Site, Staff
from clinic.models import clients as client_states
from programs.logic.body import distal_most
from programs.logic.reach_points import ReachPoint
from programs.logic.suggestion_life import LONGEST_QUIET
from programs.models import (
    AssessmentRecord,
    Decision,
    HoldStep,
    HomeProgram,
    KeptSuggestion,
    SessionReport,
)
from programs.models import programs as program_states
from programs.models import suggestions as suggestion_states
from reminders.logic.ordering import triage_key
from reminders.models import Alert, Inbound
from reminders.models import alerts as states

CHART_DAYS = timedelta(days=14)
PAGE = 50
READY_FOR = timedelta(days=2)


@dataclass(frozen=True, slots=True)
class TriageRow:
    """One client to look at: the chain, the evidence, and the chart's reports.

    `raising` is the text that raised the chain last, which is often not the last one.
    `suggests`: what the assessment suggests is not answered yet.
    """

    alert: Alert
    client: Client
    held: bool
    last_text: Inbound | None
    raising: Inbound | None
    assessment: AssessmentRecord | None
    points: tuple[ReachPoint, ...]
    overdue: bool
    suggests: bool = True


def rows(
    staff: Staff, now: datetime, *, site: Site | None = None, most: int = PAGE
) -> list[TriageRow]:
    """The first `most` rows of the list, in the order of `logic.ordering`."""
    alerts = list(open_alerts(staff, now, site=site)[: most * 2])
    client_ids = [alert.client_id for alert in alerts]
    held = _held(client_ids)
    alerts.sort(
        key=lambda alert: triage_key(
            alert.urgency,
            held=alert.client_id in held,
            act_by=alert.act_by,
            opened_at=alert.opened_at,
            now=now,
        )
    )
    return _rows(alerts[:most], held, now)


def row(alert: Alert, now: datetime) -> TriageRow:
    """One row, as it stands now."""
    return _rows([alert], _held([alert.client_id]), now)[0]


def open_alerts(
    staff: Staff, now: datetime, *, site: Site | None = None
) -> QuerySet[Alert]:
    """Unresolved alerts of the sites whose triage the person may see, not put away.

    One whose day has come counts at once, whether or not the watch has been round.
    """
    found = _unresolved(staff, site).exclude(snoozed_until__gt=now)
    return found.order_by("rank", "act_by", "opened_at")


def snoozed(
    staff: Staff, now: datetime, *, site: Site | None = None, most: int = PAGE
) -> list[Alert]:
    """What is put away until a day, the soonest back first."""
    found = _unresolved(staff, site).filter(snoozed_until__gt=now)
    return list(found.order_by("snoozed_until", "id")[:most])


def _unresolved(staff: Staff, site: Site | None) -> QuerySet[Alert]:
    sites = access.sites(staff, "triage.view")
    if site is not None:
        sites = sites.filter(pk=site.pk)
    found = Alert.objects.filter(site__in=sites, state__in=states.UNRESOLVED)
    return found.select_related(
        "client__site", "client__clinician", "site", "acknowledged_by", "snoozed_by"
    )


def _rows(
    alerts: Sequence[Alert], held: frozenset[UUID], now: datetime
) -> list[TriageRow]:
    client_ids = [alert.client_id for alert in alerts]
    texts, points = _last_texts(client_ids), _points(client_ids, now)
    assessments, raising = _assessments(client_ids), _raising(alerts)
    unanswered = _unanswered(client_ids)
    return [
        TriageRow(
            alert=alert,
            client=alert.client,
            held=alert.client_id in held,
            last_text=texts.get(alert.client_id),
            raising=raising.get(_raised_by(alert)),
            assessment=assessments.get(alert.client_id),
            points=tuple(points.get(alert.client_id, ())),
            overdue=alert.state == states.OPEN and alert.act_by <= now,
            suggests=alert.client_id in unanswered,
        )
        for alert in alerts
    ]


def _held(client_ids: Iterable[UUID]) -> frozenset[UUID]:
    found = HomeProgram.objects.filter(
        client_id__in=list(client_ids), state=program_states.HELD
    )
    return frozenset(found.values_list("client_id", flat=True))


def _last_texts(client_ids: Sequence[UUID]) -> dict[UUID, Inbound]:
    newest = Inbound.objects.filter(client_id=OuterRef("pk")).order_by("-received_at")
    ids = Client.objects.filter(pk__in=client_ids).annotate(
        newest=Subquery(newest.values("pk")[:1])
    )
    wanted = [pk for pk in ids.values_list("newest", flat=True) if pk]
    return {text.client_id: text for text in Inbound.objects.filter(pk__in=wanted)}


def _raising(alerts: Sequence[Alert]) -> dict[str | None, Inbound]:
    wanted = [key for alert in alerts if (key := _raised_by(alert))]
    return {str(text.id): text for text in Inbound.objects.filter(pk__in=wanted)}


def _raised_by(alert: Alert) -> str | None:
    """The id of the text behind the newest reason that a text gave."""
    texts = [entry["inbound"] for entry in alert.reasons if entry.get("inbound")]
    return str(texts[-1]) if texts else None


def _assessments(client_ids: Sequence[UUID]) -> dict[UUID, AssessmentRecord]:
    newest = AssessmentRecord.objects.filter(client_id=OuterRef("pk")).order_by("-at")
    ids = Client.objects.filter(pk__in=client_ids).annotate(
        newest=Subquery(newest.values("pk")[:1])
    )
    wanted = [pk for pk in ids.values_list("newest", flat=True) if pk]
    found = AssessmentRecord.objects.filter(pk__in=wanted)
    return {record.client_id: record for record in found}


def _unanswered(client_ids: Sequence[UUID]) -> frozenset[UUID]:
    found = KeptSuggestion.objects.filter(
        client_id__in=client_ids, state=suggestion_states.OPEN
    )
    return frozenset(found.values_list("client_id", flat=True))


def _points(client_ids: Sequence[UUID], now: datetime) -> dict[UUID, list[ReachPoint]]:
    """Two weeks of reports as dots, read as plain columns: rows cost four times it."""
    found = SessionReport.objects.filter(
        client_id__in=client_ids, at__gt=now - CHART_DAYS, voided_at__isnull=True
    ).order_by("client_id", "at")  # the order of the index: nothing is sorted
    grouped: dict[UUID, list[ReachPoint]] = defaultdict(list)
    columns = found.values_list("client_id", "at", "areas", "pain", "side")
    for client_id, at, areas, pain, side in columns.iterator(chunk_size=5000):
        point = ReachPoint(at, distal_most(areas), pain, side or None)
        grouped[client_id].append(point)
    return grouped


def stepped(staff: Staff, now: datetime, *, most: int = 20) -> list[HoldStep]:
    """Holds that rose without asking within two days: done, to be looked at."""
    found = HoldStep.objects.filter(
        program__client__site__in=access.sites(staff, "triage.view"),
        at__gt=now - READY_FOR,
        undone_at__isnull=True,
    ).select_related("program__client__site", "approval__by")
    return list(found.order_by("-at", "-id")[:most])


def ready(staff: Staff, now: datetime, *, most: int = 20) -> list[AssessmentRecord]:
    """Who is ready to move on: the newest assessment says so and nothing is open.

    Only clients heard within two days, and not decided on since or declined within a
    week, so that the list empties as it is worked through.
    """
    newest = AssessmentRecord.objects.filter(client=OuterRef("client")).order_by("-at")
    decided = Decision.objects.filter(client=OuterRef("client"), at__gt=OuterRef("at"))
    alarmed = Alert.objects.filter(
        client=OuterRef("client"), state__in=states.UNRESOLVED
    )
    declined = KeptSuggestion.objects.filter(
        client=OuterRef("client"),
        state=suggestion_states.DECLINED,
        action__in=("progress", "function"),
        answered_at__gt=now - LONGEST_QUIET,
    )
    found = (
        AssessmentRecord.objects.filter(
            client__site__in=access.sites(staff, "triage.view"),
            client__monitoring=client_states.ACTIVE,
            ready_to_progress=True,
            at__gt=now - READY_FOR,
            pk=Subquery(newest.values("pk")[:1]),
        )
        .exclude(Exists(decided))
        .exclude(Exists(alarmed))
        .exclude(Exists(declined))
    )
    return list(found.select_related("client__site", "client__clinician")[:most])
