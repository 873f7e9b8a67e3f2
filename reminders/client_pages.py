"""The page of one client, the text back, and corrections of the record."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from clinic import access, clock, doors
from clinic.errors import BadInput, Conflict, PlumblineError
from clinic.models import Client
from reminders import access as reminder_access
from reminders import client_view, correcting, outcome_view, texting
from reminders.exchange import Place
from reminders.logic.segments import plain
from reminders.texting import Preview
from reminders.thread import PAGE, thread


@require_GET
@doors.page("client.view")
def client(request: HttpRequest, client_id: UUID) -> HttpResponse:
    """Everything about one client that the reader's role may see."""
    row = access.client(request.user, client_id, "client.view")
    return _page(request, row)


@require_POST
@doors.page("message.send")
def write_text(request: HttpRequest, client_id: UUID) -> HttpResponse:
    """Send a text of one's own; a refusal comes back with what was written."""
    row = access.client(request.user, client_id, "message.send")
    body = request.POST.get("body", "")
    try:
        texting.write_to(
            row,
            body,
            by=request.user,
            now=clock.now(),
            despite_health_words=request.POST.get("despite_health_words") == "on",
        )
    except (BadInput, Conflict) as error:
        return _page(request, row, body=body, refused=error)
    messages.success(request, "The text is on its way.")
    return redirect("client", row.id)


@require_POST
@doors.page("message.send")
def preview_text(request: HttpRequest, client_id: UUID) -> HttpResponse:
    """How long a text would be and what in it is costly or telling, while typing.

    A POST, because a text must never stand in an address.
    """
    row = access.client(request.user, client_id, "message.send")
    context = _preview(request.POST.get("body", ""), row)
    return render(request, "reminders/_text_preview.html", context)


@require_POST
@doors.page("report.write")
def void_report(request: HttpRequest, client_id: UUID, report_id: UUID) -> HttpResponse:
    """Take a report that is wrong out of the assessment, with a reason."""
    report = reminder_access.report(request.user, client_id, report_id, "report.write")
    reason = request.POST.get("reason", "")
    correcting.void_report(report, reason=reason, by=request.user, now=clock.now())
    messages.success(request, "The report no longer counts; it stays on the record.")
    return redirect("client", client_id)


@require_POST
@doors.page("client.end")
def end_texts(request: HttpRequest, client_id: UUID) -> HttpResponse:
    """The client asked a person to end the texts."""
    row = access.client(request.user, client_id, "client.end")
    if request.POST.get("sure") != "on":
        raise BadInput(
            "Confirm that the client asked for it: only they can start texts again.",
            field="sure",
        )
    correcting.end_texts(row, by=request.user, now=clock.now())
    messages.success(request, "No text leaves to this number any more.")
    return redirect("client", row.id)


def _page(
    request: HttpRequest,
    row: Client,
    *,
    body: str = "",
    refused: PlumblineError | None = None,
) -> HttpResponse:
    now = clock.now()
    shown = client_view.view(row, request.user, now)
    before = _before(request)
    texts = thread(
        row,
        with_bodies=shown.symptoms is not None,
        now=now,
        zone=shown.zone,
        before=before,
    )
    context = _preview(body, row) | {
        "view": shown,
        "client": row,
        "thread": texts,
        "older": texts[-1].place if len(texts) == PAGE else None,
        "before": before,
        "refused": refused,
        "local_now": now.astimezone(shown.zone),
        "outcomes": outcome_view.of_client(row, now) if shown.symptoms else [],
    }
    status = refused.status if refused else 200
    return render(request, "reminders/client.html", context, status=status)


def _preview(body: str, row: Client) -> dict[str, object]:
    seen: Preview | None = texting.preview(body, row.language) if body else None
    culprits = seen.segments.culprits if seen else ()
    return {
        "body": body,
        "seen": seen,
        "too_long": bool(seen and seen.segments.parts > texting.MOST_PARTS),
        "most_parts": texting.MOST_PARTS,
        "culprits": list(dict.fromkeys(culprit.character for culprit in culprits)),
        "plain": plain(body) if culprits else "",
        "client": row,
    }


def _before(request: HttpRequest) -> Place | None:
    """Where the page before ended: a moment and the id of the text at it."""
    at, id_ = request.GET.get("before", ""), request.GET.get("than", "")
    if not at:
        return None
    try:
        place = Place(datetime.fromisoformat(at.replace(" ", "+")), UUID(id_))
    except ValueError as error:
        raise BadInput("This is not a place: start again from the page.") from error
    if place.at.tzinfo is None:
        raise BadInput("This is not a place: start again from the page.")
    return place
