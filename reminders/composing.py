"""The body of a reminder, written when it is about to leave, from that moment's plan.

Written late on purpose: a dose that was lowered a minute ago is the one that is sent.
"""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from clinic.models import Client, Site
from clinic.models import clients as client_states
from programs import plan_checks, prescribing
from programs.models import HomeProgram, ProgramRevision
from programs.models import programs as program_states
from reminders import alerting, conversation, plan_texts
from reminders.logic import wording
from reminders.logic.findings import HOLDING_REASONS
from reminders.logic.quiet import next_allowed
from reminders.logic.wording import Text
from reminders.models import Outbound

AFTER_STOP = ("opt_out_confirmation", "opt_out_confirmation_safety")
WRITTEN_LATE = ("reminder", "weekly_safety")


def compose(row: Outbound, now: datetime) -> bool:
    """Whether the text is still wanted; a reminder's body is written here."""
    if row.kind in WRITTEN_LATE:
        return _compose_reminder(row, now)
    return bool(row.body)


def _compose_reminder(row: Outbound, now: datetime) -> bool:
    client = row.client
    if client is None or client.monitoring != client_states.ACTIVE:
        return False
    program = prescribing.running(client)
    if program is None or program.state not in (
        program_states.ACTIVE,
        program_states.HELD,
    ):
        return False
    if conversation.asked(client, now) == "opt_out":
        # "Do you still want these texts?" promises that none come until answered.
        return False
    text = _text(row, client, program)
    row.kind, row.body, row.asks = text.kind, text.body, text.asks or ""
    row.parts = text.segments.parts
    return True


def _text(row: Outbound, client: Client, program: HomeProgram) -> Text:
    if row.kind == "weekly_safety":
        return site_text("weekly_safety", client.site, client.language)
    if is_symptoms_only(client, program):
        return site_text("reminder_symptoms_only", client.site, client.language)
    revision = prescribing.current_revision(program)
    return session_text(client, revision, changed=_is_news(client, revision), row=row)


def is_symptoms_only(client: Client, program: HomeProgram) -> bool:
    """No exercise is asked for while the program is held or a worsening is open."""
    if program.state == program_states.HELD:
        return True
    alert = alerting.open_chain(client)
    return bool(alerting.open_reasons(alert) & HOLDING_REASONS)


def session_text(
    client: Client,
    revision: ProgramRevision,
    *,
    changed: bool,
    row: Outbound | None = None,
) -> Text:
    """The ordinary reminder: first exercise with its dose, and the three questions."""
    times = revision.times_per_day
    items = plan_texts.of_slot(list(revision.items.all()), times, _slot_index(row))
    audience = plan_checks.audience_of(client)
    return plan_texts.session(items, times, audience, changed=changed)


def site_text(kind: str, site: Site, language: str, **more: str) -> Text:
    """A text of a kind with the site's own numbers filled in."""
    return wording.render(
        kind=kind,
        language=language,
        clinic=site.short_name,
        emergency=site.emergency_number,
        crisis=site.crisis_line,
        phone=site.call_back_number,
        **more,
    )


def _slot_index(row: Outbound | None) -> int:
    return int(row.key.rsplit(":", 1)[1]) if row else 0


def _is_news(client: Client, revision: ProgramRevision) -> bool:
    """Whether no reminder has carried this revision yet."""
    if revision.number == 1:
        return False
    carried = Outbound.objects.filter(
        client=client, kind__startswith="reminder", sent_at__gt=revision.at
    )
    return not carried.exclude(kind="reminder_symptoms_only").exists()


def daytime(client: Client, at: datetime) -> datetime:
    """The first moment from `at` outside the site's quiet hours, client's clock."""
    quiet = ((client.site.quiet_from, client.site.quiet_to),)
    return next_allowed(at, zone=ZoneInfo(client.time_zone), quiet=quiet)
