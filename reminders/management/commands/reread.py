"""reread: what a newer reader would make of stored texts; changed only on --accept."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from datetime import UTC, datetime
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from clinic import access, clock, scope
from clinic.models import Client, Organization, Staff
from reminders import rereading
from reminders.logic.reply.storage import to_json
from reminders.rereading import Change


class Command(BaseCommand):
    help = (
        "Read stored texts again with this version of the reader and print, one JSON"
        " line a text, the fields that would change. Nothing is changed without"
        " --accept; then the old readings stay on record and nothing is texted."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--since",
            required=True,
            metavar="DATE",
            help="First day (UTC) or moment, as 2026-11-01 or 2026-11-01T08:00+00:00.",
        )
        parser.add_argument(
            "--texts", action="store_true", help="Print the texts themselves as well."
        )
        parser.add_argument(
            "--accept",
            action="store_true",
            help="Let the new readings stand; needs --by.",
        )
        parser.add_argument(
            "--by", metavar="EMAIL", help="Who accepts: a clinician or a site lead."
        )

    def handle(self, *args: Any, **options: Any) -> None:
        since, now = _moment(options["since"]), clock.now()
        if since > now:
            raise CommandError("--since lies in the future.", returncode=2)
        by = _staff(options["by"]) if options["accept"] else None
        shown = 0
        rows = Organization.objects.order_by("created_at")
        for organization in rows.filter(pk=by.organization_id) if by else rows:
            with scope.within(organization.id):
                reached = (
                    access.clients(by, "report.write") if by else Client.objects.all()
                )
                for change in rereading.changes(reached, since, now):
                    self.stdout.write(_line(change, texts=options["texts"]))
                    if by:
                        rereading.accept(change, by=by, now=now)
                    shown += 1
        verdict = "accepted" if by else "would change; --accept lets them stand"
        self.stderr.write(f"{shown} texts {verdict}.")


def _line(change: Change, *, texts: bool) -> str:
    after = to_json(change.after)
    told: dict[str, Any] = {
        "inbound": str(change.inbound.id),
        "received_at": change.inbound.received_at.isoformat(),
        "changes": {
            name: [change.before.get(name), after[name]] for name in change.fields
        },
    }
    if texts:
        told["text"] = change.inbound.body
    return json.dumps(told, ensure_ascii=False)


def _moment(written: str) -> datetime:
    try:
        moment = datetime.fromisoformat(written)
    except ValueError as error:
        raise CommandError(
            f"--since {written!r} is no date: write it as 2026-11-01.", returncode=2
        ) from error
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)


def _staff(email: str | None) -> Staff:
    if not email:
        raise CommandError("--accept needs --by with the e-mail of who accepts.")
    found = Staff.objects.filter(email=email.strip().lower(), is_active=True).first()
    if found is None:
        raise CommandError("No active account has this e-mail address.")
    with scope.within(found.organization_id):
        if not access.may(found, "report.write"):
            raise CommandError("Only a clinician or a site lead may accept readings.")
    return found
