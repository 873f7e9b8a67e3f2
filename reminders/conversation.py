"""Where the conversation with a client stands: what was asked, what is open."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db.models import Q, QuerySet

from clinic.models import Client
from clinic.models import clients as client_states
from programs.models import SessionReport
from reminders.models import Inbound, Outbound

SESSION_WINDOW = timedelta(hours=3)
ASK_BACKS = ("safety", "who", "opt_out", "reach", "pain")


def asked(client: Client, at: datetime) -> str | None:
    """The question a text that arrives now answers; None when nothing was sent.

    A text that asks nothing of its own (help, a page) leaves the question as it was.
    After a thank-you for half an answer the reminder's question is still open for
    three hours, so a rating that follows on its own is read as one.
    """
    last = _last_sent(client, at).exclude(asks="").first()
    if client.monitoring == client_states.PENDING:
        return "nothing"
    if last is None:
        return None
    if last.asks == "start":
        return "nothing"
    if last.asks != "nothing":
        return str(last.asks)
    return "session" if _session_is_open(client, at) else "nothing"


def open_ask_back(client: Client, at: datetime) -> str | None:
    """What was asked back, when that is the last text the client has; else None."""
    last = _last_sent(client, at).first()
    is_ask_back = last is not None and last.kind.startswith("ask_")
    return str(last.asks) if is_ask_back else None


def recent_ask_backs(client: Client, at: datetime) -> frozenset[str]:
    """Kinds asked since the last reminder: not to be asked again yet."""
    since = _last_reminder_at(client, at) or at - timedelta(days=1)
    rows = _last_sent(client, at).filter(sent_at__gte=since, asks__in=ASK_BACKS)
    return frozenset(rows.values_list("asks", flat=True))


def reminders_sent(client: Client, at: datetime, days: int = 14) -> list[datetime]:
    """When reminders left in the last days, oldest first."""
    rows = Outbound.objects.filter(
        client=client,
        kind__startswith="reminder",
        sent_at__gt=at - timedelta(days=days),
        sent_at__lte=at,
    )
    return list(rows.order_by("sent_at").values_list("sent_at", flat=True))


def is_answered(question: Outbound) -> bool:
    """Whether the client wrote after the question left, or in answer to it."""
    texts = Inbound.objects.filter(client_id=question.client_id)
    answer = Q(received_at=question.sent_at, asked=question.asks)
    return texts.filter(Q(received_at__gt=question.sent_at) | answer).exists()


def _session_is_open(client: Client, at: datetime) -> bool:
    reminder = _last_reminder_at(client, at)
    if reminder is None or at - reminder > SESSION_WINDOW:
        return False
    rated = SessionReport.objects.filter(client=client, at__gte=reminder)
    return not rated.filter(pain__isnull=False).exists()


def _last_reminder_at(client: Client, at: datetime) -> datetime | None:
    row = _last_sent(client, at).filter(asks="session").first()
    return row.sent_at if row else None


def _last_sent(client: Client, at: datetime) -> QuerySet[Outbound]:
    rows = Outbound.objects.filter(client=client, sent_at__lte=at)
    return rows.order_by("-sent_at", "-id")
