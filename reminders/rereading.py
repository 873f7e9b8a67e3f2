"""Reading stored texts again with a newer reader: shown first, then accepted.

The old reading stays on record, a report that changes is voided and written anew, a
sign the old reader missed goes to a person. Nothing is texted to the client for it:
what would have been answered then is no answer now.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from clinic import audit, consenting
from clinic.errors import Conflict
from clinic.models import Client, Staff
from programs import assessing, prescribing, reporting
from programs.models import SessionReport
from reminders import alerting, answering, conversation, desk, escalating, outbox
from reminders.logic.findings import Finding, findings, merged
from reminders.logic.reply import Reply, parse_reply
from reminders.logic.reply.storage import from_json, to_json
from reminders.logic.urgency import EMERGENCY, SAME_DAY, rank
from reminders.models import Inbound, Rereading
from reminders.receiving import is_opt_out
from reminders.responding import (
    NO_ASSESSMENT,
    context_of,
    hold_if_needed,
    report_of,
)

# A sign missed so long ago is looked at today; it pages nobody at night.
STILL_URGENT = timedelta(days=7)
REASON = "Read again by a newer version of the reader."


@dataclass(frozen=True, slots=True)
class Change:
    """A stored text that is read differently now; evidence alone is no change."""

    inbound: Inbound
    before: Mapping[str, Any]
    after: Reply

    @property
    def fields(self) -> tuple[str, ...]:
        """Names of the fields that change, in contract order."""
        return _fields(self.before, to_json(self.after))


def changes(
    clients: QuerySet[Client], since: datetime, now: datetime
) -> Iterator[Change]:
    """Texts of these clients, received from `since` on, that would be read differently.

    Oldest first. Texts of a shared number are left out: whose they are was not
    known, and is not known now.
    """
    rows = Inbound.objects.filter(
        state="read", client__in=clients, received_at__gte=since, received_at__lte=now
    )
    ordered = rows.select_related("client", "phone").order_by("received_at", "id")
    for inbound in ordered:
        assert inbound.client is not None
        language, asked = inbound.client.language, inbound.asked or None
        after = parse_reply(inbound.body, language=language, asked=asked)
        change = Change(inbound, inbound.reply or {}, after)
        if change.fields:
            yield change


@transaction.atomic
def accept(change: Change, *, by: Staff, now: datetime) -> None:
    """Let the new reading stand from now on, with everything that follows from it.

    Raises Conflict when the stored reading is no longer the one that was shown.
    """
    inbound = Inbound.objects.select_for_update().get(pk=change.inbound.pk)
    if inbound.reply != change.before:
        raise Conflict("This text was read again meanwhile: look at it anew.")
    client = inbound.client
    assert client is not None
    Rereading(
        organization_id=client.organization_id,
        inbound=inbound,
        at=now,
        by=by,
        before=inbound.reply,
        after=to_json(change.after),
    ).save(force_insert=True)
    inbound.reply = to_json(change.after)
    inbound.keyword = change.after.keyword or ""
    inbound.save(update_fields=["reply", "keyword"])
    audit.record("inbound.read_again", inbound, actor=by, at=now, client=client.id)
    before = from_json(dict(change.before))
    _report_anew(inbound, client, change.after, by=by, now=now)
    if is_opt_out(change.after) and not is_opt_out(before):
        _opt_out(inbound, client, now)
    _raise(inbound, client, before, change.after, by=by, now=now)


def _fields(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[str, ...]:
    empty = to_json(Reply())
    return tuple(
        name
        for name, value in after.items()
        if name != "evidence" and before.get(name, empty[name]) != value
    )


def _report_anew(
    inbound: Inbound, client: Client, reply: Reply, *, by: Staff, now: datetime
) -> None:
    """The report the text made is voided and one of the new reading put beside it."""
    key = f"text:{inbound.id}"
    rows = SessionReport.objects.filter(client=client, key__startswith=key)
    standing = rows.filter(voided_at__isnull=True).first()
    report = report_of(reply, inbound.received_at)
    if standing and reporting.value_of(standing) == report:
        return
    if standing:
        reporting.void(standing, reason=REASON, by=by, now=now)
    if not answering.is_report(reply):
        return
    reporting.record(
        client,
        report,
        program=standing.program if standing else prescribing.running(client),
        key=f"{key}:{rows.count()}",
        actor=by,
        now=now,
    )


def _opt_out(inbound: Inbound, client: Client, now: datetime) -> None:
    """An opt-out the old reader missed holds now, unless the client started again."""
    phone = inbound.phone
    if phone is None or phone.opted_out_at is not None:
        return
    later = Inbound.objects.filter(phone=phone, received_at__gt=inbound.received_at)
    if later.filter(keyword="start").exists():
        return
    outbox.cancel_pending(phone, now=now, why="opted_out")
    consenting.withdraw(phone, inbound=inbound.id, now=now)
    desk.open_task("opted_out", client=client, now=now)


def _raise(
    inbound: Inbound,
    client: Client,
    before: Reply,
    after: Reply,
    *,
    by: Staff,
    now: datetime,
) -> None:
    """Raise what the new reading finds and the old one did not; old harm is not taken
    back here: a clinician decides on what stands open."""
    context = context_of(client, now, asked=inbound.asked or None)
    due = conversation.reminders_sent(client, now)
    assessment, _ = assessing.assess_client(client, due=due, now=now)
    known = {f.reason: f for f in findings(before, NO_ASSESSMENT, context=context)}
    found = [
        _aged(finding, inbound, now)
        for finding in findings(after, assessment, context=context)
        if finding.reason not in known
        or rank(finding.urgency) < rank(known[finding.reason].urgency)
    ]
    alert = alerting.raise_alert(
        client, merged(found), now=now, actor=f"staff:{by.id}", inbound_id=inbound.id
    )
    hold_if_needed(client, after, found, now)
    if alert and any(finding.urgency == EMERGENCY for finding in found):
        escalating.page_if_emergency(alert, now)


def _aged(finding: Finding, inbound: Inbound, now: datetime) -> Finding:
    old = now - inbound.received_at > STILL_URGENT
    if old and finding.urgency == EMERGENCY:
        return Finding(finding.reason, SAME_DAY)
    return finding
