"""The link in a text: put in as the text leaves, never kept with it.

The stored body holds a mark in its place, so neither the database nor the thread on
the client's page can open what was sent to the client alone.
"""

from __future__ import annotations

from uuid import UUID

from django.conf import settings

from clinic import access
from programs import questions
from programs.models import OutcomeAsk
from reminders.models import Outbound

MARK = "(link)"
KIND = "questions"
_KEY = "ask:"


def key_of(ask: OutcomeAsk) -> str:
    """The key of the text that carries the ask's link."""
    return f"{_KEY}{ask.id}"


def address(ask: OutcomeAsk) -> str:
    """Where the client opens the page."""
    return f"{settings.PUBLIC_URL}/q/{questions.token_of(ask)}"


def reaches_them(ask: OutcomeAsk) -> bool:
    """Whether the number that got the link is still the client's."""
    text = Outbound.objects.filter(key=key_of(ask)).first()
    phone = access.current_number(ask.client)
    return text is None or (phone is not None and text.phone_id == phone.id)


def leaving(row: Outbound) -> str:
    """The body as it leaves: a page's link stands where the mark was."""
    body: str = row.body
    if row.kind != KIND or MARK not in body:
        return body
    ask = OutcomeAsk.objects.get(pk=UUID(row.key.removeprefix(_KEY)))
    return body.replace(MARK, address(ask))
