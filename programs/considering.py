"""Suggestions kept: opened by reports, answered by clinicians, lapsed by later ones."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction

from clinic import audit
from clinic.errors import BadInput, Conflict
from clinic.models import Client, Staff
from programs.logic.suggestion_life import LONGEST_QUIET, is_quiet
from programs.models import Decision, HomeProgram, KeptSuggestion, ProgramRevision
from programs.models import suggestions as states

MOST_WORDS = 500


@transaction.atomic
def keep(
    program: HomeProgram, suggestion: dict[str, Any] | None, *, now: datetime
) -> None:
    """Keep what the newest report suggests; an open one it no longer gives lapses.

    The same change a clinician answered a short while ago is not put again.
    """
    current = open_of(program.client, lock=True)
    if current is not None and suggestion and _same(current, suggestion):
        current.sentence = suggestion["sentence"]
        current.would_change = suggestion["would_change"]
        current.last_at = now
        current.save(update_fields=["sentence", "would_change", "last_at"])
        return
    if current is not None:
        _close(current, states.LAPSED, now)
    if suggestion and not _is_answered_lately(program.client, suggestion, now):
        _open(program, suggestion, now)


def lapse(client: Client, *, now: datetime) -> None:
    """The program changed without anybody's answer: what was suggested is old."""
    current = open_of(client, lock=True)
    if current is not None:
        _close(current, states.LAPSED, now)


def overtaken(
    program: HomeProgram, revision: ProgramRevision, *, by: Staff, now: datetime
) -> None:
    """The clinician changed the program another way: that is the answer."""
    current = open_of(program.client, lock=True)
    if current is not None:
        current.revision = revision
        _answer(current, states.EDITED, revision.reason, by, now)


def decided(decision: Decision, *, now: datetime) -> None:
    """A decision of its own answers what was suggested; a telephone call does not."""
    current = open_of(decision.client, lock=True)
    if current is not None and decision.kind != "call":
        current.decision = decision
        reason = decision.note or f"Decided otherwise: {decision.kind}."
        _answer(current, states.EDITED, reason, decision.author, now)


@transaction.atomic
def answer(
    kept: KeptSuggestion, state: str, *, reason: str = "", by: Staff, now: datetime
) -> KeptSuggestion:
    """A clinician's answer; declining and editing need a reason.

    Raises BadInput without one, Conflict when it was answered or has lapsed.
    """
    if state not in states.ANSWERS:
        raise BadInput("Accept, edit or decline.", field="answer")
    if state != states.ACCEPTED and not reason.strip():
        raise BadInput("Say why: colleagues will ask.", field="reason")
    if len(reason) > MOST_WORDS:
        raise BadInput(f"At most {MOST_WORDS} letters.", field="reason")
    row: KeptSuggestion = KeptSuggestion.objects.select_for_update().get(pk=kept.pk)
    if row.state == states.LAPSED:
        raise Conflict("Later reports no longer suggest this: look again.")
    if row.state != states.OPEN:
        raise Conflict("This suggestion is answered already.")
    _answer(row, state, reason.strip(), by, now)
    return row


@transaction.atomic
def led_to(kept: KeptSuggestion, decision: Decision) -> None:
    """Keep which decision, and which program, an answer led to."""
    kept.decision, kept.revision = decision, decision.revision
    kept.save(update_fields=["decision", "revision"])


def open_of(client: Client, *, lock: bool = False) -> KeptSuggestion | None:
    """The suggestion nobody has answered yet, or None."""
    rows = KeptSuggestion.objects.filter(client=client, state=states.OPEN)
    found: KeptSuggestion | None = (rows.select_for_update() if lock else rows).first()
    return found


def declined_raise_at(client: Client, *, now: datetime) -> datetime | None:
    """When a clinician last declined to ask for more; None within the quiet span."""
    rows = KeptSuggestion.objects.filter(
        client=client,
        state=states.DECLINED,
        action__in=("progress", "function"),
        answered_at__gt=now - LONGEST_QUIET,
    )
    found: datetime | None = (
        rows.order_by("-answered_at").values_list("answered_at", flat=True).first()
    )
    return found


def _open(program: HomeProgram, suggestion: dict[str, Any], now: datetime) -> None:
    row = KeptSuggestion(
        organization_id=program.organization_id,
        client=program.client,
        program=program,
        first_at=now,
        last_at=now,
        sentence=suggestion["sentence"],
        would_change=suggestion["would_change"],
        source=suggestion["source"],
        **_identity(suggestion),
    )
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError:
        return  # two reports at once: the other one's suggestion stands
    audit.record("suggestion.kept", row, actor=audit.SERVICE, at=now, row=row.row)


def _answer(
    row: KeptSuggestion, state: str, reason: str, by: Staff, now: datetime
) -> None:
    row.answered_by, row.reason = by, reason
    row.state, row.answered_at = state, now
    row.save(
        update_fields=[
            *("state", "answered_by", "answered_at"),
            *("reason", "revision", "decision"),
        ]
    )
    audit.record(f"suggestion.{state}", row, actor=by, at=now, row=row.row)


def _close(row: KeptSuggestion, state: str, now: datetime) -> None:
    row.state, row.answered_at = state, now
    row.save(update_fields=["state", "answered_at"])
    audit.record(f"suggestion.{state}", row, actor=audit.SERVICE, at=now, row=row.row)


def _identity(suggestion: dict[str, Any]) -> dict[str, Any]:
    return {
        "row": suggestion["row"],
        "action": suggestion["action"],
        "exercise": suggestion["exercise_code"] or "",
        "target": suggestion["target_code"] or "",
        "dose": suggestion["dose"],
    }


def _same(row: KeptSuggestion, suggestion: dict[str, Any]) -> bool:
    return all(
        getattr(row, name) == value for name, value in _identity(suggestion).items()
    )


def _is_answered_lately(
    client: Client, suggestion: dict[str, Any], now: datetime
) -> bool:
    rows = KeptSuggestion.objects.filter(
        client=client,
        state__in=states.ANSWERS,
        answered_at__gt=now - LONGEST_QUIET,
        row=suggestion["row"],
        action=suggestion["action"],
    )
    return any(
        _same(row, suggestion)
        and is_quiet(row.row, row.state, row.answered_at, now=now)
        for row in rows
    )
