"""The texts a plan will produce, counted while a clinician edits it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST

from clinic import access, doors
from clinic.models import Client, Site
from programs import editor, plan_checks, plans, prescribing
from programs.item_rows import ItemRows
from programs.logic.exercises import LANGUAGES
from programs.plan_checks import Audience
from programs.plans import ItemPlan
from reminders import plan_texts


@require_POST
@doors.page("program.write")
def program_preview(request: HttpRequest, client_id: UUID) -> HttpResponse:
    """The client's reminders of one day, and what the edit raises."""
    client = access.client(request.user, client_id, "program.write")
    audience = plan_checks.audience_of(client)
    return _page(request, [audience], client=client)


@require_POST
@doors.page("template.write")
def template_preview(request: HttpRequest) -> HttpResponse:
    """The template's reminders in each language at the longest clinic name."""
    names = Site.objects.values_list("short_name", flat=True)
    longest = max(names, key=len, default="")
    audiences = [Audience(longest, language) for language in LANGUAGES]
    return _page(request, audiences)


def _page(
    request: HttpRequest, audiences: list[Audience], client: Client | None = None
) -> HttpResponse:
    rows = ItemRows.typed(request.POST)
    times = _times(request.POST.get("times_per_day", ""))
    context: dict[str, Any] = {"client": client, "shown": [], "limit": 160}
    if times is None or not rows.rows or not (rows.is_valid() and rows.check(times)):
        context["missing"] = True
    else:
        items = rows.items()
        context["shown"] = [
            {"audience": one, "texts": plan_texts.of_items(items, times, one)}
            for one in audiences
        ]
        if client is not None:
            context |= _raised(client, items, times)
    frame = "fragment" if request.htmx else "page"
    return render(request, f"reminders/plan_preview_{frame}.html", context)


def _raised(client: Client, items: tuple[ItemPlan, ...], times: int) -> dict[str, Any]:
    program = prescribing.running(client)
    if program is None:
        return {}
    now = plans.of_revision(prescribing.current_revision(program))
    edited = replace(now, items=items, times_per_day=times)
    return {"compared": True, "raised": editor.names(plans.raises(now, edited))}


def _times(typed: str) -> int | None:
    text = typed.strip()
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 3 else 0
    return number if 1 <= number <= 12 else None
