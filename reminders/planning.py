"""Planning: from a running program to the rows of the texts that will fall due.

Rows are made for the next 36 hours under a key that is unique for ever, so a rerun,
an edit or a second planner makes nothing twice. An edit touches pending rows only.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction

from clinic import access, logs, scope
from clinic.models import Client, PhoneNumber
from clinic.models import clients as client_states
from programs import prescribing
from programs.models import HomeProgram, ProgramRevision
from programs.models import programs as program_states
from reminders.logic import load, schedule
from reminders.logic.schedule import PlanError, ReminderPlan, Slot
from reminders.models import Outbound, ReminderLoad
from reminders.models import messages as states

log = logs.get("reminders.planning")
HORIZON = timedelta(hours=36)
REMINDER, WEEKLY = "reminder", "weekly_safety"
# A row taken back by an edit may come again; one ended by an opt-out may not.
REPLANNED = "replanned"
SPREAD_MINUTES = 45


@dataclass(frozen=True, slots=True)
class _Wanted:
    slot: Slot
    kind: str
    not_after: datetime


def plan_all(now: datetime) -> int:
    """Plan every running program; returns how many rows were made or moved."""
    programs = (
        HomeProgram.objects.across("the planner serves every organization")
        .exclude(state=program_states.STOPPED)
        .filter(client__monitoring=client_states.ACTIVE)
        .select_related("client__site")
    )
    changed = 0
    for program in programs.iterator(chunk_size=500):
        with scope.within(program.organization_id):
            changed += plan_program(program, now)
    return changed


def plan_by_id(program_id: UUID, organization_id: UUID, now: datetime) -> int:
    """Plan one program again after it changed."""
    with scope.within(organization_id):
        program = (
            HomeProgram.objects.filter(pk=program_id)
            .select_related("client__site")
            .first()
        )
        return plan_program(program, now) if program else 0


@transaction.atomic
def plan_program(program: HomeProgram, now: datetime) -> int:
    """Bring the client's pending reminder rows in line with the program."""
    client = program.client
    if program.state == program_states.PAUSED and _pause_is_over(program, now):
        prescribing.go_on(program, by="service", now=now)
    revision = prescribing.current_revision(program)
    phone = access.current_number(client)
    wanted = _wanted(program, revision, phone, now)
    return _reconcile(client, program, phone, wanted, now)


def reminder_plan(client: Client, revision: ProgramRevision) -> ReminderPlan:
    """The client's reminder plan as a value; raises PlanError when it cannot be."""
    zone = ZoneInfo(client.time_zone)
    site = client.site
    return ReminderPlan(
        times_per_day=revision.times_per_day,
        waking_from=revision.waking_from,
        waking_to=revision.waking_to,
        zone=zone,
        offset_minutes=schedule.stable_offset(str(client.id), SPREAD_MINUTES),
        quiet=((site.quiet_from, site.quiet_to),),
        starts_on=revision.program.started_at.astimezone(zone).date(),
    )


def _wanted(
    program: HomeProgram,
    revision: ProgramRevision,
    phone: PhoneNumber | None,
    now: datetime,
) -> dict[str, _Wanted]:
    client = program.client
    if phone is None or not _is_texted(client, program, phone):
        return {}
    try:
        plan = reminder_plan(client, revision)
    except PlanError as error:
        log.error("plan_impossible", code=error.field)
        return {}
    found: dict[str, _Wanted] = {}
    level = load_level(program)
    for day in _days(now, plan):
        slots = _thinned(schedule.slots(plan, day), level)
        for wanted in _of_day(program, slots):
            # A slot that is due and not yet sent is still wanted: not taken back.
            if now < wanted.not_after and wanted.slot.at_utc <= now + HORIZON:
                key = schedule.key(client.id, program.id, wanted.slot)
                found[key] = wanted
    return found


def load_level(program: HomeProgram) -> str:
    """How often the client is reminded: the newest line, or full."""
    rows = ReminderLoad.objects.filter(program=program).order_by("-at", "-id")
    return rows.values_list("level", flat=True).first() or load.FULL


def _thinned(slots: list[Slot], level: str) -> list[Slot]:
    """The slots that are reminded of; the sessions stay as they are."""
    places = load.kept(len(slots), load.per_day(level, len(slots)))
    return [slots[place] for place in places]


def _of_day(program: HomeProgram, slots: list[Slot]) -> Iterable[_Wanted]:
    """A held program is asked about once a day; the weekly question takes a slot."""
    if program.state == program_states.HELD:
        slots = slots[:1]
    weekly = slots and (slots[0].local_date - program.started_at.date()).days % 7 == 3
    for index, slot in enumerate(slots):
        following = slots[index + 1] if index + 1 < len(slots) else None
        kind = WEEKLY if weekly and index == len(slots) // 2 else REMINDER
        yield _Wanted(slot, kind, schedule.not_after(slot, following))


def _is_texted(client: Client, program: HomeProgram, phone: PhoneNumber) -> bool:
    return (
        client.monitoring == client_states.ACTIVE
        and phone.may_receive
        and program.state in (program_states.ACTIVE, program_states.HELD)
    )


def _reconcile(
    client: Client,
    program: HomeProgram,
    phone: PhoneNumber | None,
    wanted: dict[str, _Wanted],
    now: datetime,
) -> int:
    rows = {row.key: row for row in _known(client, now)}
    changed = 0
    for key, row in rows.items():
        changed += _adjust(row, wanted.get(key), phone)
    new = [
        _row(client, phone, key, plan)
        for key, plan in wanted.items()
        if key not in rows and phone is not None and plan.slot.at_utc > now
    ]
    Outbound.objects.bulk_create(new, ignore_conflicts=True)
    return changed + len(new)


def _known(client: Client, now: datetime) -> Iterable[Outbound]:
    return Outbound.objects.filter(
        client=client,
        kind__in=(REMINDER, WEEKLY),
        local_date__gte=(now - timedelta(days=1)).date(),
    )


def _adjust(row: Outbound, wanted: _Wanted | None, phone: PhoneNumber | None) -> int:
    pending = Outbound.objects.filter(pk=row.pk, state=states.PENDING)
    if wanted is None:
        if row.state != states.PENDING:
            return 0
        return pending.update(state="cancelled", error_code=REPLANNED)
    back = row.state == "cancelled" and row.error_code == REPLANNED
    if back:
        pending = Outbound.objects.filter(
            pk=row.pk, state="cancelled", error_code=REPLANNED
        )
    elif row.state != states.PENDING or _fits(row, wanted, phone):
        return 0
    return pending.update(
        state=states.PENDING,
        error_code="",
        due_at=wanted.slot.at_utc,
        not_after=wanted.not_after,
        kind=wanted.kind,
        phone=phone,
    )


def _fits(row: Outbound, wanted: _Wanted, phone: PhoneNumber | None) -> bool:
    return (row.due_at, row.not_after, row.kind, row.phone_id) == (
        wanted.slot.at_utc,
        wanted.not_after,
        wanted.kind,
        phone.id if phone else None,
    )


def _row(
    client: Client, phone: PhoneNumber | None, key: str, wanted: _Wanted
) -> Outbound:
    return Outbound(
        organization_id=client.organization_id,
        client=client,
        phone=phone,
        key=key,
        kind=wanted.kind,
        due_at=wanted.slot.at_utc,
        not_after=wanted.not_after,
        local_date=wanted.slot.local_date,
    )


def _days(now: datetime, plan: ReminderPlan) -> list[date]:
    first = now.astimezone(plan.zone).date()
    last = (now + HORIZON).astimezone(plan.zone).date()
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]


def _pause_is_over(program: HomeProgram, now: datetime) -> bool:
    until = program.paused_until
    return until is not None and prescribing.local_day(program.client, now) > until
