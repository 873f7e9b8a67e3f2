"""The client's handout as a page to print."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from clinic import access, clock, doors
from programs import handout, prescribing


@doors.page("program.view")
def handout_page(request: HttpRequest, client_id: UUID) -> HttpResponse:
    """The program in the client's language; says so when there is none."""
    client = access.client(request.user, client_id, "program.view")
    program = prescribing.running(client)
    context = handout.sheet(client, program, clock.now())
    context |= {"client": client, "program": program}
    return render(request, "programs/handout.html", context)
