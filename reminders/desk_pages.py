"""The front desk's tasks: by code, without the body of any text."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from clinic import clock, doors
from reminders import access, desk
from reminders.models import DeskTask


@doors.page("desk.view")
def tasks(request: HttpRequest) -> HttpResponse:
    """What is open, oldest first."""
    rows = access.desk_tasks(request.user, "desk.view").filter(done_at__isnull=True)
    open_rows = rows.select_related("client__site").order_by("at")
    context = {"tasks": [_shown(row) for row in open_rows]}
    return render(request, "reminders/desk.html", context)


@require_POST
@doors.page("desk.close")
def close(request: HttpRequest, task_id: UUID) -> HttpResponse:
    """The task is done."""
    task = access.desk_task(request.user, task_id, "desk.close")
    desk.close_task(task, by=request.user, now=clock.now())
    messages.success(request, "Done.")
    return redirect("desk")


def _shown(task: DeskTask) -> dict[str, Any]:
    """The task in words; for a number nobody has, the number, to find whose it is."""
    number = task.detail if task.code == "unknown_number" else ""
    return {"task": task, "words": desk.CODES[task.code], "number": number}
