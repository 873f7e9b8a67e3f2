"""The gateway's webhooks: signature first, then store, read, answer 2xx.

Nothing is stored or started for a request that is not signed over the public
address and every field.
"""

from __future__ import annotations

from uuid import UUID

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST

from clinic import clock, doors
from reminders import delivering, receiving
from reminders.gateways.signature import (
    SETTINGS_HEADER,
    SIGNATURE_HEADER,
    is_signed,
)
from reminders.receiving import Arrival

EMPTY_ANSWER = '<?xml version="1.0" encoding="UTF-8"?><Response></Response>'


@csrf_exempt
@require_POST
@doors.public("the gateway signs each request")
def inbound(request: HttpRequest) -> HttpResponse:
    """POST /sms/inbound: a text from a client."""
    if not _is_signed(request):
        return HttpResponse("Not signed.", status=403, content_type="text/plain")
    arrival = Arrival(
        gateway_id=_field(request, "MessageSid")[:64],
        from_number=_field(request, "From"),
        to_number=_field(request, "To"),
        body=_field(request, "Body"),
    )
    if not arrival.gateway_id:
        return HttpResponse("MessageSid is missing.", status=400)
    receiving.arrive(arrival, clock.now())
    return HttpResponse(EMPTY_ANSWER, content_type="text/xml")


@csrf_exempt
@require_POST
@doors.public("the gateway signs each request")
def status(request: HttpRequest) -> HttpResponse:
    """POST /sms/status: what became of a text; unknown ones are harmless."""
    if not _is_signed(request):
        return HttpResponse("Not signed.", status=403, content_type="text/plain")
    delivering.apply_status(
        gateway_id=_field(request, "MessageSid")[:64],
        outbound_id=_id_of(request.GET.get("outbound", "")),
        status=_field(request, "MessageStatus"),
        error_code=_field(request, "ErrorCode"),
        now=clock.now(),
    )
    return HttpResponse(status=204)


def _is_signed(request: HttpRequest) -> bool:
    """Check over the configured address: a proxy may have changed the one we see."""
    query = request.META.get("QUERY_STRING", "")
    url = f"{settings.PUBLIC_URL}{request.path}{'?' + query if query else ''}"
    fields = [(key, value) for key, values in request.POST.lists() for value in values]
    return is_signed(
        url,
        fields,
        request.headers.get(SIGNATURE_HEADER),
        [settings.TWILIO_AUTH_TOKEN, settings.TWILIO_AUTH_TOKEN_OLD],
        settings_header=request.headers.get(SETTINGS_HEADER),
    )


def _field(request: HttpRequest, name: str) -> str:
    """A form field without what PostgreSQL refuses to keep."""
    return receiving.clean(request.POST.get(name, ""))


def _id_of(text: str) -> UUID | None:
    try:
        return UUID(text)
    except ValueError:
        return None
