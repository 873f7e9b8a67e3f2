"""Questions open to clients: the link's token, who it opens for, what was answered.

The token is an HMAC of the row under the service's secret: it can be made again when
the text leaves, and nothing in the database opens a page.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable
from datetime import datetime

from django.db.models import QuerySet
from django.utils.crypto import constant_time_compare, salted_hmac

from clinic.models import Client
from clinic.models import clients as client_states
from programs.logic.outcomes import psfs
from programs.logic.outcomes.measures import MEASURES, Step, course
from programs.logic.outcomes.values import Taken
from programs.models import Outcome, OutcomeAsk

_SALT = "plumbline.outcome-ask"
_BYTES = 16  # 128 bits, 22 signs of an address


def token_of(ask: OutcomeAsk) -> str:
    """The token that opens the ask's page; the same every time for the same row."""
    said = f"{ask.id}:{ask.measure}:{ask.expires_at.timestamp():.0f}"
    made = salted_hmac(_SALT, said, algorithm="sha256").digest()[:_BYTES]
    return base64.urlsafe_b64encode(made).decode().rstrip("=")


def digest_of(token: str) -> str:
    """What the database keeps of a token (hex SHA-256)."""
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()


def by_token(token: str) -> OutcomeAsk | None:
    """The ask a token opens, open or closed; None for any other token."""
    rows = OutcomeAsk.objects.across("the link names its organization")
    ask = rows.filter(digest=digest_of(token)).select_related("client__site").first()
    if ask is None or not constant_time_compare(token, token_of(ask)):
        return None
    return ask


def is_open(ask: OutcomeAsk, now: datetime) -> bool:
    """Whether it may still be answered: not closed, not too old, client in care."""
    active = ask.client.monitoring == client_states.ACTIVE
    return ask.closed_at is None and now < ask.expires_at and active


def open_asks(client: Client, now: datetime) -> dict[str, OutcomeAsk]:
    """The client's pages that wait for an answer, by measure."""
    rows = OutcomeAsk.objects.filter(client=client, closed_at__isnull=True)
    return {row.measure: row for row in rows.filter(expires_at__gt=now)}


def outcomes_of(client: Client) -> QuerySet[Outcome]:
    """Everything a client answered, oldest first; the client came from `access`."""
    return Outcome.objects.filter(client=client).select_related("by", "void__by")


def counted(rows: Iterable[Outcome], measure: str) -> list[Taken]:
    """The answers to one measure that count, oldest first, as values."""
    return sorted(
        (
            Taken(row.at, row.score, row.said)
            for row in rows
            if row.measure == measure and row.voided is None
        ),
        key=lambda one: one.at,
    )


def course_of(rows: Iterable[Outcome], measure: str) -> list[Step]:
    """The course of one measure, oldest first."""
    return course(MEASURES[measure], counted(rows, measure))


def activities(client: Client) -> list[str]:
    """The client's own list, as written down last; empty before the first time."""
    rows = outcomes_of(client).filter(measure="psfs", void__isnull=True)
    last = rows.order_by("-at", "-id").first()
    return list(psfs.ratings(last.said)) if last else []
