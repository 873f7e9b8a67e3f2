"""What the reminders app registers into the lower apps at start-up."""

from __future__ import annotations

from typing import Any

from clinic import health, shell
from programs import plan_checks
from programs.signals import program_changed
from reminders import plan_texts, probes, tasks
from reminders.signals import client_confirmed, mail_waiting, text_waiting


def connect() -> None:
    """Called once from `ready()`."""
    program_changed.connect(_plan_soon, dispatch_uid="plan")
    client_confirmed.connect(_plan_confirmed, dispatch_uid="confirmed")
    text_waiting.connect(_send_soon, dispatch_uid="send")
    mail_waiting.connect(_mail_soon, dispatch_uid="mail")
    plan_checks.register(plan_texts.fits_one_part)
    health.PROBES |= probes.ALL
    shell.register(
        shell.Entry("Triage", "triage", "triage.view", 10),
        shell.Entry("Clients", "clients", "client.list", 20),
        shell.Entry("Front desk", "desk", "desk.view", 30),
    )


def _plan_soon(sender: Any, **news: Any) -> None:
    tasks.wake_planner(
        program_id=news["program_id"], organization_id=news["organization_id"]
    )


def _plan_confirmed(sender: Any, **news: Any) -> None:
    tasks.plan_after_commit(news["client"])


def _mail_soon(sender: Any, **_: Any) -> None:
    tasks.wake_mailer()


def _send_soon(sender: Any, **_: Any) -> None:
    tasks.wake_sender()
