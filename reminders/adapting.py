"""How often a client is reminded: thinned by rule, back by rule, fixed by a clinician.

Only reminders change, never sessions; the client is told in one text. A change is a
line that stays, and the planner follows it.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db import transaction

from clinic import access, audit
from clinic.errors import BadInput, Conflict
from clinic.models import Client, Staff
from clinic.models import clients as client_states
from programs import prescribing
from programs.logic.assessment import Assessment
from programs.models import AssessmentRecord, HomeProgram
from programs.models import programs as program_states
from programs.signals import program_changed
from reminders import alerting, composing, outbox, surroundings
from reminders.logic import load
from reminders.logic.findings import WORSENING_REASONS
from reminders.logic.load import FULL, LEVELS, LoadChange, LoadFacts
from reminders.models import ReminderLoad

NONE_YET = timedelta(0)
RECENT_DAYS = 3


def current(program: HomeProgram) -> ReminderLoad | None:
    """The line that rules now; None means full, and left to the rules."""
    rows = ReminderLoad.objects.filter(program=program).order_by("-at", "-id")
    found: ReminderLoad | None = rows.first()
    return found


@transaction.atomic
def adapt(
    client: Client, program: HomeProgram, *, now: datetime
) -> ReminderLoad | None:
    """Change the load if the rules call for it; None when it stays."""
    row = current(program)
    if row is not None and row.fixed:
        return None
    level = row.level if row else FULL
    if level == FULL and now - program.started_at < load.FIRST_WEEK:
        return None
    if program.state not in (program_states.ACTIVE, program_states.HELD):
        return None
    seen = _seen(client, program, row, now)
    times = prescribing.current_revision(program).times_per_day
    found = load.change(level, seen, times_per_day=times)
    if found is None and _is_first_today(client, now):
        counted = _counted(client, program, seen, now)
        found = load.change(level, counted, times_per_day=times)
    return _changed(client, program, found, level, now) if found else None


@transaction.atomic
def back_to_full(client: Client, program: HomeProgram, *, now: datetime) -> None:
    """The client fell silent: every session is reminded of again, unless fixed."""
    row = current(program)
    if row is not None and row.level != FULL and not row.fixed:
        # The nudge of the same hour asks; a second text would only be noise.
        _written(client, program, LoadChange(FULL, "silent"), now)


@transaction.atomic
def fix(client: Client, level: str | None, *, by: Staff, now: datetime) -> ReminderLoad:
    """A clinician fixes the load, or with None leaves it to the rules again."""
    program = prescribing.running(client)
    if program is None:
        raise Conflict("The client is on no program: there is nothing to remind of.")
    if level is not None and level not in LEVELS:
        raise BadInput(f"Choose one of {', '.join(LEVELS)}.", field="level")
    row = current(program)
    before = row.level if row else FULL
    if level is None:
        released = LoadChange(before, "released")
        return _written(client, program, released, now, by=by)
    if row is not None and row.fixed and row.level == level:
        return row
    chosen = LoadChange(level, "fixed")
    made = _written(client, program, chosen, now, by=by, fixed=True)
    _tell(client, program, made, before, now)
    return made


def _seen(
    client: Client, program: HomeProgram, row: ReminderLoad | None, now: datetime
) -> LoadFacts:
    """What needs no counting: it brings every reminder back with any reply."""
    found = _latest(client)
    reasons = set(found.reasons)
    open_reasons = alerting.open_reasons(alerting.open_chain(client))
    settled = bool(found.numbers.get("ready_to_progress", {}).get("settled"))
    heard = client.last_heard_at or program.started_at
    return LoadFacts(
        running=now - program.started_at,
        at_level=now - row.at if row else None,
        settling=settled
        or bool({"working_keep", "back_up_leg_in"} & reasons)
        or found.location_trend == "centralizing"
        or found.pain_trend == "improving",
        settled=settled,
        worse=bool(WORSENING_REASONS & (reasons | open_reasons))
        or "unstable" in reasons,
        skipping="skipping" in reasons,
        quiet_for=max(NONE_YET, now - heard),
    )


def _counted(
    client: Client, program: HomeProgram, seen: LoadFacts, now: datetime
) -> LoadFacts:
    """The same with the sessions and replies of the week counted."""
    week = surroundings.sessions(client, program, now)
    recent = surroundings.sessions(client, program, now, days=RECENT_DAYS)
    enough = recent.sent >= load.ENOUGH_SENT
    return replace(
        seen,
        reply_rate=week.reply_rate,
        confirmed_rate=week.confirmed_rate,
        recent_reply_rate=recent.reply_rate if enough else None,
        unprompted=week.unprompted,
        unprompted_days=week.unprompted_days,
    )


def _is_first_today(client: Client, now: datetime) -> bool:
    """Counting once a day is enough, with the day's first reply."""
    zone = ZoneInfo(client.time_zone)
    start = datetime.combine(now.astimezone(zone).date(), time(), zone)
    rows = AssessmentRecord.objects.filter(client=client, at__gte=start, at__lte=now)
    return rows.count() <= 1


def _latest(client: Client) -> Assessment:
    row = AssessmentRecord.objects.filter(client=client).order_by("-at", "-id").first()
    if row is None:
        return Assessment()
    return replace(
        Assessment(),
        location_trend=row.location_trend,
        pain_trend=row.pain_trend,
        urgency=row.urgency or None,
        reasons=tuple(row.reasons),
        numbers=row.numbers,
        ready_to_progress=row.ready_to_progress,
    )


def _changed(
    client: Client, program: HomeProgram, found: LoadChange, before: str, now: datetime
) -> ReminderLoad:
    made = _written(client, program, found, now)
    _tell(client, program, made, before, now)
    return made


def _written(
    client: Client,
    program: HomeProgram,
    found: LoadChange,
    now: datetime,
    *,
    by: Staff | None = None,
    fixed: bool = False,
) -> ReminderLoad:
    row = ReminderLoad.objects.create(
        organization_id=client.organization_id,
        client=client,
        program=program,
        level=found.level,
        reason=found.reason,
        fixed=fixed,
        by=by,
        at=now,
    )
    audit.record(
        "load.changed",
        row,
        actor=by or audit.SERVICE,
        at=now,
        level=found.level,
        reason=found.reason,
        fixed=fixed,
    )
    news = {"program_id": program.id, "organization_id": program.organization_id}
    transaction.on_commit(
        lambda: program_changed.send_robust(HomeProgram, **news), robust=True
    )
    return row


def _tell(
    client: Client,
    program: HomeProgram,
    row: ReminderLoad,
    before: str,
    now: datetime,
) -> None:
    """One text that says reminders come less often, or for every session again."""
    times = prescribing.current_revision(program).times_per_day
    old, new = (load.per_day(level, times) for level in (before, row.level))
    phone = access.current_number(client)
    if old == new or phone is None or not phone.may_receive:
        return
    if client.monitoring != client_states.ACTIVE:
        return
    kind = "load_less" if new < old else "load_full"
    if kind == "load_full" and new < times:
        return  # more often, yet not every session: the text would not be true
    text = composing.site_text(kind, client.site, client.language)
    outbox.put(
        text,
        key=f"load:{row.id}",
        phone=phone,
        now=now,
        client=client,
        due_at=composing.daytime(client, now),
    )
