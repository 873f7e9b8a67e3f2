"""Front-desk tasks: by code, one open task a client and code."""

from __future__ import annotations

from datetime import datetime

from django.db import IntegrityError, transaction

from clinic import audit, scope
from clinic.errors import Conflict
from clinic.models import Client, Site, Staff
from reminders.models import DeskTask

CODES = {
    "wrong_number": "The number reaches somebody else: ask for the right one",
    "number_failed": "Texts do not reach the number: ask for another one",
    "shared_number": "Two clients share a number: ask who answered",
    "opted_out": "The client ended the texts: tell them care goes on",
    "unknown_number": "A text came from a number nobody has",
    "appointment": "The client writes about an appointment",
    "text_times": "The client finds the hour or number of texts wrong: ask what suits",
    "call": "No answer for a week: telephone the client",
    "sender_setup": "The gateway refuses our texts: check the sender",
}


@transaction.atomic
def open_task(
    code: str,
    *,
    now: datetime,
    client: Client | None = None,
    site: Site | None = None,
    detail: str = "",
) -> DeskTask:
    """Open a task unless the client, or the organization, has this one open."""
    known = _open(code, client)
    if known and not detail:
        return known
    task = DeskTask(
        organization_id=scope.current(),
        client=client,
        site=site or (client.site if client else None),
        code=code,
        detail=detail,
        at=now,
    )
    try:
        with transaction.atomic():
            task.save(force_insert=True)
    except IntegrityError:
        # Two texts at once: the other one opened it.
        known = _open(code, client)
        assert known is not None
        return known
    audit.record("desk.opened", task, actor="service", at=now, code=code)
    return task


def _open(code: str, client: Client | None) -> DeskTask | None:
    return DeskTask.objects.filter(client=client, code=code, done_at=None).first()


@transaction.atomic
def close_task(task: DeskTask, *, by: Staff, now: datetime) -> None:
    """The task is done."""
    if task.done_at is not None:
        raise Conflict("Somebody did this already.")
    task.done_at, task.done_by = now, by
    task.save(update_fields=["done_at", "done_by"])
    audit.record("desk.closed", task, actor=by, at=now, code=task.code)
