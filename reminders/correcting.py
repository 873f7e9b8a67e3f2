"""Correcting the record: a report that does not count any more."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from clinic.models import Staff
from programs import assessing, reporting
from programs.models import SessionReport
from reminders import conversation


@transaction.atomic
def void_report(
    report: SessionReport, *, reason: str, by: Staff, now: datetime
) -> None:
    """Take a report out and assess again; an open alert stays for its clinician."""
    reporting.void(report, reason=reason, by=by, now=now)
    due = conversation.reminders_sent(report.client, now)
    assessing.assess_client(report.client, due=due, now=now)
