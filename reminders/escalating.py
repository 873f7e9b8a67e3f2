"""Escalating: page the on-call chain until a named person acknowledges."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import transaction

from clinic import audit, logs, on_call, scope
from clinic.logic import duty_hours
from clinic.logic.ids import new_id
from clinic.models import OnCallEntry, Site
from reminders import alerting, mailing, outbox
from reminders.logic import wording
from reminders.logic.escalation import Page, next_page
from reminders.logic.urgency import EMERGENCY
from reminders.models import Alert, AlertEvent
from reminders.models import alerts as states

log = logs.get("reminders.escalating")
_LETTERS = "23456789abcdefghjkmnpqrstuvwxyz"  # none that looks like another
_CODE_LENGTH, _RANDOM_END = 10, (1 << 48) - 1


def page_if_emergency(alert: Alert, now: datetime) -> None:
    """Page whoever is due on the alert's site; does nothing below an emergency."""
    if alert.urgency != EMERGENCY or alert.state != states.OPEN:
        return
    chain = on_call.reachable(alert.site)
    position = next_page(
        alert.raised_at,
        alert.acknowledged_at,
        _pages(alert),
        chain_length=len(chain),
        now=now,
        wait=timedelta(minutes=alert.site.page_wait_minutes),
        on_duty=_on_duty(alert.site, chain, now),
    )
    if position is not None:
        _page(alert, chain[position], position, now)


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
    """Page the first person on duty about something that has no client."""
    chain = on_call.reachable(site)
    position = next_page(
        now,
        None,
        (),
        chain_length=len(chain),
        now=now,
        wait=timedelta(minutes=site.page_wait_minutes),
        on_duty=_on_duty(site, chain, now),
    )
    if position is None:
        return
    entry, key = chain[position], f"page:{key}"
    text = outbox.page_staff(_text("staff_page", site), entry, key=key, now=now)
    mail = mailing.page(entry, alert=None, again=False, key=key, now=now)
    if text or mail:
        audit.record(
            "site.paged", site, actor=audit.SERVICE, at=now, staff=entry.staff_id
        )


def _page(alert: Alert, entry: OnCallEntry, position: int, now: datetime) -> None:
    """Page one person by text and by mail, with an event and an audit line."""
    again = alert.pages_sent > 0
    alert.page_code = alert.page_code or _code()
    text = _text("staff_page_next" if again else "staff_page", alert.site, alert)
    key = f"page:{alert.id}:{int(alert.raised_at.timestamp())}:{alert.pages_sent}"
    row = outbox.page_staff(text, entry, key=key, now=now)
    mailing.page(entry, alert=alert, again=again, key=key, now=now)
    alert.pages_sent += 1
    alert.paged_at = now
    alert.save(update_fields=["page_code", "pages_sent", "paged_at"])
    alerting.note(
        alert,
        "paged",
        actor=audit.SERVICE,
        at=now,
        reason=str(position),
        outbound_id=row.id if row else None,
    )
    audit.record(
        "alert.paged",
        alert,
        actor=audit.SERVICE,
        at=now,
        staff=entry.staff_id,
        place=position,
    )
    log.warning("paged", alert=str(alert.id), count=alert.pages_sent)


def _on_duty(site: Site, chain: Sequence[OnCallEntry], now: datetime) -> list[bool]:
    zone = ZoneInfo(site.time_zone)
    return [duty_hours.parse(entry.hours).is_on(now, zone) for entry in chain]


def _code() -> str:
    """Ten signs from a fresh id's random end; a name for an alert, not a key to it."""
    number, signs = new_id().int & _RANDOM_END, []
    for _ in range(_CODE_LENGTH):
        number, place = divmod(number, len(_LETTERS))
        signs.append(_LETTERS[place])
    return "".join(signs)


def _pages(alert: Alert) -> list[Page]:
    events = AlertEvent.objects.filter(alert=alert, kind="paged")
    return [Page(int(event.reason), event.at) for event in events]


def _text(kind: str, site: Site, alert: Alert | None = None) -> wording.Text:
    return wording.render(
        kind=kind,
        language="en",
        site=site.short_name,
        url=mailing.link(alert),
    )
