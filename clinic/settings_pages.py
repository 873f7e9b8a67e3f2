"""A person's own account: roles, devices with their tokens, password."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from clinic import access, clock, doors, pairing
from clinic.forms import DeviceForm


@doors.page("settings.view")
def settings(request: HttpRequest) -> HttpResponse:
    """The account and its devices."""
    return _page(request, DeviceForm())


@require_POST
@doors.page("token.own")
def token_issue(request: HttpRequest) -> HttpResponse:
    """A new device's token, shown in this answer and never again."""
    form = DeviceForm(request.POST)
    if not form.is_valid():
        return _page(request, form, status=400)
    device = form.cleaned_data["device"]
    row, token = pairing.issue(request.user, device, now=clock.now())
    return _page(request, DeviceForm(), token=token, issued=row.device)


@require_POST
@doors.page("token.own")
def token_revoke(request: HttpRequest, token_id: UUID) -> HttpResponse:
    """One of the person's own devices is out from the next request on."""
    row = access.own_token(request.user, token_id)
    pairing.revoke(row, by=request.user, now=clock.now())
    messages.success(request, "The device is signed out.")
    return redirect("settings")


def _page(
    request: HttpRequest,
    form: DeviceForm,
    *,
    status: int = 200,
    token: str = "",
    issued: str = "",
) -> HttpResponse:
    tokens = access.own_tokens(request.user).filter(revoked_at__isnull=True)
    context = {
        "form": form,
        "tokens": tokens,
        "token": token,
        "issued": issued,
        "grants": request.user.grants.select_related("site").order_by("role"),
    }
    return render(request, "clinic/settings.html", context, status=status)
