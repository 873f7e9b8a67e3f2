"""The audit chain, for owners and auditors: last lines, one record's, and the proof."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST

from clinic import access, audit, doors
from clinic.forms import AuditFilter
from clinic.models import AuditEntry, Staff

LINES = 100


@doors.page("audit.view")
def audit_list(request: HttpRequest) -> HttpResponse:
    """The last lines, or those about one record."""
    return _page(request)


@require_POST
@doors.page("audit.view")
def audit_verify(request: HttpRequest) -> HttpResponse:
    """Walk the whole chain and say whether it holds."""
    access.require_everywhere(request.user, "audit.view")
    lines, fault = audit.verify(request.user.organization)
    return _page(request, proof={"lines": lines, "fault": fault})


def _page(request: HttpRequest, proof: dict[str, Any] | None = None) -> HttpResponse:
    rows = access.audit_entries(request.user, "audit.view")
    form = AuditFilter(request.GET)
    valid = form.is_valid()
    if valid and form.cleaned_data["subject"]:
        rows = rows.filter(subject_id=form.cleaned_data["subject"])
    if valid and form.cleaned_data["before"]:
        rows = rows.filter(sequence__lt=form.cleaned_data["before"])
    shown = list(rows[: LINES + 1])
    more = len(shown) > LINES
    context = {
        "form": form,
        "entries": _named(shown[:LINES]),
        "older": shown[LINES - 1].sequence if more else None,
        "proof": proof,
    }
    status = 200 if valid else 400
    return render(request, "clinic/audit.html", context, status=status)


def _named(entries: list[AuditEntry]) -> list[dict[str, Any]]:
    names = dict(
        Staff.objects.filter(pk__in=_people(entries)).values_list("id", "name")
    )
    return [{"entry": entry, "who": _who(entry, names)} for entry in entries]


def _people(entries: list[AuditEntry]) -> set[str]:
    actors = (entry.actor.partition(":") for entry in entries)
    return {rest for kind, _, rest in actors if kind == "staff"}


def _who(entry: AuditEntry, names: dict[UUID, str]) -> str:
    kind, _, rest = entry.actor.partition(":")
    if kind == "staff":
        return names.get(UUID(rest), "a person no longer here")
    return "the client" if kind == "client" else entry.actor
