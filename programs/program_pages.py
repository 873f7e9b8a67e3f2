"""A client's program: prescribe, change, pause, go on, stop."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from clinic import access, clock, doors
from clinic import forms as clinic_forms
from clinic.errors import PlumblineError
from clinic.models import Client
from programs import access as program_access
from programs import editor, plans, prescribing, publishing
from programs.forms import PauseForm, ProgramForm, StartForm
from programs.item_rows import ItemRows
from programs.models import HomeProgram, TemplateVersion


@doors.page("program.write")
def program_new(request: HttpRequest, client_id: UUID) -> HttpResponse:
    """Prescribe, from a template or from scratch; one program runs at a time."""
    client = access.client(request.user, client_id, "program.write")
    if prescribing.running(client) is not None:
        return redirect("program_edit", client_id=client.id)
    today = prescribing.local_day(client, clock.now())
    if request.method != "POST":
        form = ProgramForm(initial=ProgramForm.fresh(today))
        return _editor(request, client, ItemRows.kept(()), form, start=StartForm())
    act = request.POST.get("do", "save")
    if act == "fill":
        return _filled(request, client)
    rows = ItemRows.typed(request.POST)
    if rows.rearrange(act, request.POST):
        form = clinic_forms.kept(ProgramForm, request.POST)
        start = clinic_forms.kept(StartForm, request.POST)
        return _editor(request, client, rows, form, start=start)
    return _prescribed(request, client, rows)


@doors.page("program.view")
def program_edit(request: HttpRequest, client_id: UUID) -> HttpResponse:
    """The client's program: to read, and for clinicians to change with a reason."""
    may_write = access.clients(request.user, "program.write").filter(pk=client_id)
    operation = "program.write" if request.method == "POST" else "program.view"
    access.require(request.user, operation)
    client = access.client(request.user, client_id, operation)
    program = prescribing.running(client)
    if program is None:
        if may_write.exists():
            return redirect("program_new", client_id=client.id)
        return _reading(request, client, None)
    if not may_write.exists():
        return _reading(request, client, program)
    current = plans.of_revision(prescribing.current_revision(program))
    if request.method != "POST":
        form = ProgramForm(initial=ProgramForm.of(current))
        rows = ItemRows.kept(current.items)
        return _editor(request, client, rows, form, program=program)
    rows = ItemRows.typed(request.POST)
    if rows.rearrange(request.POST.get("do", "save"), request.POST):
        form = clinic_forms.kept(ProgramForm, request.POST)
        return _editor(request, client, rows, form, program=program)
    return _revised(request, client, program, rows)


@require_POST
@doors.page("program.write")
def program_pause(request: HttpRequest, program_id: UUID) -> HttpResponse:
    """No reminders until a day, or until somebody lets it go on."""
    program = program_access.program(request.user, program_id, "program.write")
    form = PauseForm(request.POST)
    if form.is_valid():
        until = form.cleaned_data["until"]
        try:
            prescribing.pause(program, until=until, by=request.user, now=clock.now())
        except PlumblineError as error:
            clinic_forms.show(form, error)
        else:
            messages.success(request, "The program is paused.")
            return redirect("program_edit", client_id=program.client_id)
    current = plans.of_revision(prescribing.current_revision(program))
    rows = ItemRows.kept(current.items)
    edit = ProgramForm(initial=ProgramForm.of(current))
    return _editor(
        request, program.client, rows, edit, program=program, pause=form, status=400
    )


@require_POST
@doors.page("program.write")
def program_go_on(request: HttpRequest, program_id: UUID) -> HttpResponse:
    """End a pause or a hold."""
    program = program_access.program(request.user, program_id, "program.write")
    prescribing.go_on(program, by=request.user, now=clock.now())
    messages.success(request, "The program goes on.")
    return redirect("program_edit", client_id=program.client_id)


@require_POST
@doors.page("program.write")
def program_stop(request: HttpRequest, program_id: UUID) -> HttpResponse:
    """End the program for good."""
    program = program_access.program(request.user, program_id, "program.write")
    prescribing.stop(program, by=request.user, now=clock.now())
    messages.success(request, "The program is stopped. No exercise is asked for now.")
    return redirect("program_new", client_id=program.client_id)


def _prescribed(request: HttpRequest, client: Client, rows: ItemRows) -> HttpResponse:
    form, start = ProgramForm(request.POST), StartForm(request.POST)
    version = _version(request)
    if editor.all_valid(rows, form, start):
        try:
            prescribing.prescribe(
                client,
                form.plan(rows),
                start.start(),
                by=request.user,
                now=clock.now(),
                version=version,
            )
        except PlumblineError as error:
            editor.show(error, rows, form, start)
        else:
            messages.success(request, "Prescribed. Print the handout for the client.")
            return redirect("program_edit", client_id=client.id)
    return _editor(request, client, rows, form, start=start, status=400)


def _revised(
    request: HttpRequest, client: Client, program: HomeProgram, rows: ItemRows
) -> HttpResponse:
    form = ProgramForm(request.POST)
    if editor.all_valid(rows, form):
        current = plans.of_revision(prescribing.current_revision(program))
        plan = form.plan(rows)
        reason = form.cleaned_data["reason"]
        try:
            revision = prescribing.revise(
                program, plan, by=request.user, reason=reason, now=clock.now()
            )
        except PlumblineError as error:
            editor.show(error, rows, form)
        else:
            raised = editor.names(plans.raises(current, plan)) or "nothing"
            messages.success(
                request, f"Saved as revision {revision.number}. Raised: {raised}."
            )
            return redirect("program_edit", client_id=client.id)
    return _editor(request, client, rows, form, program=program, status=400)


def _filled(request: HttpRequest, client: Client) -> HttpResponse:
    """The editor with a template's exercises; the starting point stays as typed."""
    start = clinic_forms.kept(StartForm, request.POST)
    version = _version(request)
    if version is None:
        rows = ItemRows.typed(request.POST)
        rows.error = "Choose a template first."
        form = clinic_forms.kept(ProgramForm, request.POST)
        return _editor(request, client, rows, form, start=start)
    today = prescribing.local_day(client, clock.now())
    plan = plans.from_content(version.content, today=today)
    form = ProgramForm(initial=ProgramForm.of(plan))
    rows = ItemRows.kept(plan.items)
    return _editor(request, client, rows, form, start=start)


def _version(request: HttpRequest) -> TemplateVersion | None:
    wanted = request.POST.get("template", "")
    offered = (one for one in publishing.on_offer() if str(one.id) == wanted)
    return next(offered, None)


def _reading(
    request: HttpRequest, client: Client, program: HomeProgram | None
) -> HttpResponse:
    context: dict[str, Any] = {"client": client, "program": program}
    if program is not None:
        context |= editor.revisions(request.user, program)
    return render(request, "programs/program_read.html", context)


def _editor(
    request: HttpRequest,
    client: Client,
    rows: ItemRows,
    form: ProgramForm,
    *,
    program: HomeProgram | None = None,
    start: StartForm | None = None,
    pause: PauseForm | None = None,
    status: int = 200,
) -> HttpResponse:
    context: dict[str, Any] = {
        "client": client,
        "program": program,
        "rows": rows,
        "form": form,
        "start": start,
        "pause": pause or PauseForm(),
        "choices": editor.exercise_choices(),
        "offers": publishing.on_offer() if program is None else (),
        "template": request.POST.get("template", ""),
        "wrong": status == 400 and pause is None,
    }
    if program is not None:
        context |= editor.revisions(request.user, program)
    return render(request, "programs/program_edit.html", context, status=status)
