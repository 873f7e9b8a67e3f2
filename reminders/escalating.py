"""Escalating: page the on-call chain until a named person acknowledges."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction

from clinic import logs, scope
from clinic.models import OnCallEntry, Site
from reminders import outbox
from reminders.logic import wording
from reminders.logic.escalation import Page, next_page
from reminders.logic.urgency import EMERGENCY
from reminders.models import Alert, AlertEvent
from reminders.models import alerts as states

log = logs.get("reminders.escalating")


def page_if_emergency(alert: Alert, now: datetime) -> None:
    """Page whoever is due on the alert's site; does nothing below an emergency."""
    if alert.urgency != EMERGENCY or alert.state != states.OPEN:
        return
    chain = list(OnCallEntry.objects.filter(site=alert.site).select_related("staff"))
    position = next_page(
        alert.raised_at,
        alert.acknowledged_at,
        _pages(alert),
        chain_length=len(chain),
        now=now,
        wait=timedelta(minutes=alert.site.page_wait_minutes),
    )
    if position is None:
        return
    _page(alert, chain[position], now)


def walk(now: datetime) -> int:
    """Page the next person of every emergency nobody has taken; returns how many."""
    rows = Alert.objects.across("the chain is walked for every organization").filter(
        state=states.OPEN, rank=0
    )
    paged = 0
    for alert in rows.select_related("site"):
        with scope.within(alert.organization_id), transaction.atomic():
            locked = Alert.objects.select_for_update().get(pk=alert.pk)
            before = locked.pages_sent
            page_if_emergency(locked, now)
            paged += locked.pages_sent > before
    return paged


def page_site(site: Site, *, key: str, now: datetime) -> None:
    """Page the first person of a site about something that has no client."""
    entry = OnCallEntry.objects.filter(site=site).select_related("staff").first()
    if entry is not None:
        outbox.page_staff(_text("staff_page", site), entry, key=f"page:{key}", now=now)


def _page(alert: Alert, entry: OnCallEntry, now: datetime) -> None:
    kind = "staff_page" if alert.pages_sent == 0 else "staff_page_next"
    raised = int(alert.raised_at.timestamp())
    key = f"page:{alert.id}:{raised}:{alert.pages_sent}"
    row = outbox.page_staff(_text(kind, alert.site), entry, key=key, now=now)
    alert.pages_sent += 1
    alert.paged_at = now
    alert.save(update_fields=["pages_sent", "paged_at"])
    AlertEvent.objects.create(
        organization_id=alert.organization_id,
        alert=alert,
        at=now,
        kind="paged",
        urgency=alert.urgency,
        reason=str(entry.position),
        actor="service",
        outbound_id=row.id if row else None,
    )
    log.warning("paged", alert=str(alert.id), count=alert.pages_sent)


def _pages(alert: Alert) -> list[Page]:
    events = AlertEvent.objects.filter(alert=alert, kind="paged")
    return [Page(int(event.reason), event.at) for event in events]


def _text(kind: str, site: Site) -> wording.Text:
    return wording.render(
        kind=kind,
        language="en",
        site=site.short_name,
        url=f"{settings.PUBLIC_URL}/triage",
    )
