"""Answers to suggestions, holds that may rise, steps taken back, and the load."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from clinic import access, clock, doors
from clinic.errors import BadInput
from programs import plans, prescribing, stepping
from programs.logic import progression
from programs.models import HomeProgram, KeptSuggestion
from programs.plans import ProgramPlan
from reminders import access as reminder_access
from reminders import adapting, agreeing, dose_view, what_if_view

SAID = {
    "accept": "Accepted, and kept with your name.",
    "edit": "Changed your way, and kept with the reason.",
    "decline": "Declined, and kept with the reason.",
}


@require_POST
@doors.page("suggestion.answer")
def answer(request: HttpRequest, client_id: UUID, suggestion_id: UUID) -> HttpResponse:
    """Accept, edit or decline a suggestion."""
    kept = reminder_access.suggestion(
        request.user, client_id, suggestion_id, "suggestion.answer"
    )
    word, reason = request.POST.get("answer", ""), request.POST.get("reason", "")
    who = {"by": request.user, "now": clock.now()}
    if word == "accept":
        agreeing.accept(kept, note=reason, **who)
    elif word == "edit":
        plan = _chosen_plan(kept, request.POST.get("step", ""))
        agreeing.edit(kept, plan, reason=reason, **who)
    elif word == "decline":
        agreeing.decline(kept, reason=reason, **who)
    else:
        raise BadInput("Accept, change or decline.", field="answer")
    messages.success(request, SAID[word])
    return redirect("client", client_id)


@require_POST
@doors.page("hold.approve")
def approve(request: HttpRequest, client_id: UUID) -> HttpResponse:
    """Let one hold rise inside its range, or stop it."""
    client = access.client(request.user, client_id, "hold.approve")
    on = request.POST.get("on") == "yes"
    stepping.approve(
        _program(prescribing.running(client)),
        request.POST.get("exercise", ""),
        on=on,
        by=request.user,
        now=clock.now(),
    )
    said = "It may rise now, a step at a time." if on else "It stays as it is now."
    messages.success(request, said)
    return redirect("client", client_id)


@require_POST
@doors.page("hold.approve")
def undo(request: HttpRequest, client_id: UUID, step_id: UUID) -> HttpResponse:
    """Take one step back; the hold stays there."""
    step = reminder_access.hold_step(request.user, client_id, step_id, "hold.approve")
    stepping.undo(step, by=request.user, now=clock.now())
    messages.success(request, "Taken back. The next reminder carries the old dose.")
    return redirect("client", client_id)


@require_POST
@doors.page("load.fix")
def fix_load(request: HttpRequest, client_id: UUID) -> HttpResponse:
    """Fix how often the client is reminded, or leave it to the rule."""
    client = access.client(request.user, client_id, "load.fix")
    level = request.POST.get("level", "") or None
    adapting.fix(client, level, by=request.user, now=clock.now())
    said = "Fixed until you change it." if level else "The rule decides again."
    messages.success(request, said)
    return redirect("client", client_id)


@require_GET
@doors.page("client.read_symptoms")
def what_if(request: HttpRequest, client_id: UUID) -> HttpResponse:
    """How the last 14 days would have gone under the rule."""
    client = access.client(request.user, client_id, "client.read_symptoms")
    now = clock.now()
    program = _program(prescribing.running(client))
    found = what_if_view.view(client, program, now)
    context = {"client": client, "views": found, "rows": progression.ROWS}
    return render(request, "reminders/what_if.html", context)


def _chosen_plan(kept: KeptSuggestion, code: str) -> ProgramPlan:
    program = _program(prescribing.running(kept.client))
    plan = plans.of_revision(prescribing.current_revision(program))
    for step in dose_view.other_steps(kept.client, plan, clock.now()):
        if step.code == code:
            return step.plan
    raise BadInput("Choose the change you make instead.", field="step")


def _program(program: HomeProgram | None) -> HomeProgram:
    if program is None:
        raise BadInput("The client is on no program: prescribe one.")
    return program
