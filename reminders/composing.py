"""The body of a reminder, written when it is about to leave, from that moment's plan.

Written late on purpose: a dose that was lowered a minute ago is the one that is sent.
"""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from clinic.models import Client, Site
from clinic.models import clients as client_states
from programs import plan_checks, plans, prescribing
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
    news = _news(client, revision)
    return session_text(client, revision, news=news, row=row)


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
    news: frozenset[str] | None = None,
    row: Outbound | None = None,
) -> Text:
    """The ordinary reminder: first exercise with its dose, and the three questions.

    `news`: exercises whose new dose no reminder has carried yet, named first; empty
    when only something was taken away; None when the client has been told.
    """
    times = revision.times_per_day
    items = plan_texts.of_slot(list(revision.items.all()), times, _slot_index(row))
    audience = plan_checks.audience_of(client)
    if not news:
        changed = news is not None
        return plan_texts.session(items, times, audience, changed=changed)
    first = sorted(items, key=lambda item: item.exercise not in news)
    is_new = first[0].exercise in news
    text = plan_texts.session(first, times, audience, changed=is_new)
    if text.segments.parts > 1:
        return plan_texts.session(items, times, audience, changed=is_new)
    return text


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


def _news(client: Client, revision: ProgramRevision) -> frozenset[str] | None:
    """What is new in the revision that no reminder has carried; None for nothing."""
    if revision.number == 1:
        return None
    sent = Outbound.objects.filter(client=client, sent_at__gt=revision.at)
    if sent.filter(kind="reminder_changed").exists():
        return None
    changed = _changed_exercises(revision)
    if not changed and sent.filter(kind="reminder").exists():
        return None
    return changed


def _changed_exercises(revision: ProgramRevision) -> frozenset[str]:
    """Exercises that are new in this revision or have another dose than before."""
    before = revision.program.revisions.filter(number=revision.number - 1)
    earlier = before.prefetch_related("items").first()
    doses = {
        item.exercise: plans.dose_of(item, earlier.times_per_day)
        for item in (earlier.items.all() if earlier else ())
    }
    return frozenset(
        item.exercise
        for item in revision.items.all()
        if doses.get(item.exercise) != plans.dose_of(item, revision.times_per_day)
    )


def daytime(client: Client, at: datetime) -> datetime:
    """The first moment from `at` outside the site's quiet hours, client's clock."""
    quiet = ((client.site.quiet_from, client.site.quiet_to),)
    return next_allowed(at, zone=ZoneInfo(client.time_zone), quiet=quiet)
