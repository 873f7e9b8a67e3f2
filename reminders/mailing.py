"""Mailing: pages to staff by e-mail, as careful as texts and never instead of them.

A mail is claimed in one transaction, handed to the server without any, and recorded
under its lease. What the server surely did not take is tried again until its time is
over; what it may have taken becomes `unknown` and is not sent twice.
"""

from __future__ import annotations

from contextlib import suppress
from datetime import datetime, timedelta
from smtplib import SMTPException, SMTPRecipientsRefused, SMTPResponseException
from urllib.parse import urlsplit

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.db import IntegrityError, connection, transaction
from django.db.models import Q, QuerySet

from clinic import doctoring, logs, scope
from clinic.logic.ids import new_id
from clinic.models import OnCallEntry
from reminders.logic.staff_mail import StaffMailText, page_mail
from reminders.models import Alert, StaffMail
from reminders.models import alerts as alert_states
from reminders.models import messages as states
from reminders.signals import mail_waiting

log = logs.get("reminders.mailing")
GROUP = 5  # a mail server that hangs holds a worker for GROUP times its timeout
LEASE = timedelta(minutes=5)
WORTH = timedelta(hours=12)
FIRST_WAIT, LONGEST_WAIT = timedelta(seconds=30), timedelta(minutes=5)
_STATE = ("state", "error_code", "lease", "lease_until", "attempts")


class _NotTaken(Exception):
    """The server surely has not taken the mail; `final` when it never will."""

    def __init__(self, code: str, *, final: bool = False) -> None:
        super().__init__(code)
        self.code, self.final = code, final


def page(
    entry: OnCallEntry, *, alert: Alert | None, again: bool, key: str, now: datetime
) -> StaffMail | None:
    """Add a mail to a person on call; None when this key has its mail already."""
    row = StaffMail(
        organization_id=entry.organization_id,
        staff=entry.staff,
        site=entry.site,
        alert=alert,
        key=key,
        kind="staff_page_next" if again else "staff_page",
        due_at=now,
        not_after=now + WORTH,
    )
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError:
        return None
    transaction.on_commit(lambda: mail_waiting.send_robust(StaffMail), robust=True)
    return row


def send_due(now: datetime) -> int:
    """Mail what is due, one group; returns how many the server took."""
    _release(now)
    taken = 0
    for row in _claim(now):
        with scope.within(row.organization_id):
            taken += _sent(row, now)
    return taken


def link(alert: Alert | None) -> str:
    """Where a page leads: its alert, or the morning list. Opens after sign-in only."""
    path = f"/p/{alert.page_code}" if alert and alert.page_code else "/triage"
    return f"{settings.PUBLIC_URL}{path}"


def words(row: StaffMail) -> StaffMailText:
    """What a mail says."""
    return page_mail(
        site=row.site.short_name,
        url=link(row.alert),
        minutes=row.site.page_wait_minutes if row.alert else None,
        again=row.kind == "staff_page_next",
    )


@transaction.atomic
def _claim(now: datetime) -> list[StaffMail]:
    """Take a group and write down that it is being sent; end what nobody wants."""
    lease, wanted = new_id(), []
    for row in list(_due(now)[:GROUP]):
        with scope.within(row.organization_id):
            row.state, row.error_code = _verdict(row)
            if row.state == states.SENDING:
                row.lease, row.lease_until = lease, now + LEASE
                row.attempts += 1
                wanted.append(row)
            row.save(update_fields=_STATE)
    return wanted


def _verdict(row: StaffMail) -> tuple[str, str]:
    """Whether the mail still leaves: (state, why not)."""
    if not doctoring.has_mail_server():
        return "failed", "no_server"
    if not row.staff.is_active:
        return "cancelled", "account_closed"
    if row.alert and row.alert.state != alert_states.OPEN:
        return "cancelled", "taken"
    return states.SENDING, ""


def _due(now: datetime) -> QuerySet[StaffMail]:
    rows = (
        StaffMail.objects.across("the mailer serves every organization")
        .filter(state=states.PENDING, due_at__lte=now, not_after__gt=now)
        .filter(Q(next_try_at__isnull=True) | Q(next_try_at__lte=now))
        .select_related("staff", "site", "alert")
        .order_by("due_at", "id")
    )
    if connection.features.has_select_for_update_skip_locked:
        rows = rows.select_for_update(skip_locked=True, of=("self",))
    return rows


def _release(now: datetime) -> None:
    """End what is too late; what a dead worker left half sent becomes unknown."""
    rows = StaffMail.objects.across("the mailer serves every organization")
    late = rows.filter(state=states.PENDING, not_after__lte=now)
    lost = rows.filter(state=states.SENDING, lease_until__lt=now)
    late.update(state="expired", error_code="late")
    lost.update(state="unknown", error_code="process_lost", sent_at=now)


def _sent(row: StaffMail, now: datetime) -> int:
    values: dict[str, object] = {"lease_until": None}
    try:
        _hand_over(row)
    except _NotTaken as refused:
        values |= _after(row, refused, now)
        log.warning("mail_refused", code=refused.code, attempt=row.attempts)
    except Exception as error:  # noqa: BLE001  it may have been taken: once is enough
        doubt = type(error).__name__[:32]
        values |= {"state": "unknown", "error_code": doubt, "sent_at": now}
        log.error("mail_in_doubt", error=doubt)
    else:
        values |= {"state": "sent", "error_code": "", "sent_at": now}
    mine = StaffMail.objects.filter(pk=row.pk, lease=row.lease, state=states.SENDING)
    mine.update(**values)
    return int(values["state"] == "sent")


def _after(row: StaffMail, refused: _NotTaken, now: datetime) -> dict[str, object]:
    if refused.final:
        return {"state": "failed", "error_code": refused.code}
    wait = min(FIRST_WAIT * 2 ** min(row.attempts - 1, 8), LONGEST_WAIT)
    return {
        "state": states.PENDING,
        "error_code": refused.code,
        "next_try_at": now + wait,
    }


def _hand_over(row: StaffMail) -> None:
    """Give the mail to the server; raises _NotTaken, or anything else in doubt."""
    server = get_connection(fail_silently=False)
    try:
        server.open()
    except (SMTPException, OSError) as error:
        raise _NotTaken(type(error).__name__[:32]) from error
    try:
        server.send_messages([_message(row)])
    except (SMTPRecipientsRefused, SMTPResponseException) as error:
        number = _number(error)
        # RFC 5321 section 4.2.1: 5xx is final, 4xx may be tried again.
        raise _NotTaken(str(number), final=number >= 500) from error
    finally:
        with suppress(SMTPException, OSError):
            server.close()


def _number(error: SMTPRecipientsRefused | SMTPResponseException) -> int:
    """A refusal's own number; of a refused recipient the number given for them."""
    if isinstance(error, SMTPRecipientsRefused):
        return max((answer[0] for answer in error.recipients.values()), default=550)
    return int(error.smtp_code)


def _message(row: StaffMail) -> EmailMessage:
    text = words(row)
    host = urlsplit(settings.PUBLIC_URL).hostname or "localhost"
    return EmailMessage(
        subject=text.subject,
        body=text.body,
        to=[row.staff.email],
        headers={
            # The same for every try: a server that got it twice shows it once.
            "Message-ID": f"<{row.id}@{host}>",
            "Auto-Submitted": "auto-generated",
        },
    )
