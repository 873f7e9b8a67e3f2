"""The audit chain finds every kind of tampering and names the first bad line."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection, transaction

from clinic import audit, scope
from clinic.models import AuditEntry, AuditHead
from tests.cast import NOW, Cast


def verdict(cast: Cast) -> tuple[int, str | None]:
    with scope.within(cast.organization.id):
        return audit.verify(cast.organization)


def tamper(sql: str, *values: object) -> None:
    """Change the table behind the models' back, as somebody with the file could."""
    with connection.cursor() as cursor:
        cursor.execute(sql, values)


def line(cast: Cast, sequence: int) -> AuditEntry:
    with scope.within(cast.organization.id):
        return AuditEntry.objects.get(sequence=sequence)


def pk(entry: AuditEntry) -> object:
    field = AuditEntry._meta.pk
    assert field is not None
    return field.get_db_prep_value(entry.pk, connection)


def test_a_fresh_chain_verifies(cast: Cast) -> None:
    lines, fault = verdict(cast)
    assert fault is None
    assert lines > 10


def test_every_write_leaves_a_line_in_its_own_organization(cast: Cast) -> None:
    with scope.within(cast.other_organization.id):
        actions = set(AuditEntry.objects.values_list("action", flat=True))
    assert {"staff.added", "staff.role_granted", "site.opened"} <= actions


def test_changed_content_is_named(cast: Cast) -> None:
    tamper(
        "UPDATE clinic_auditentry SET action = 'nothing.happened' WHERE id = %s",
        pk(line(cast, 4)),
    )
    assert verdict(cast) == (3, "line 4: content was changed")


def test_a_removed_line_is_named(cast: Cast) -> None:
    tamper("DELETE FROM clinic_auditentry WHERE id = %s", pk(line(cast, 5)))
    assert verdict(cast) == (4, "line 5: missing, next is 6")


def test_a_cut_tail_is_named(cast: Cast) -> None:
    last = AuditHead.objects.get(pk=cast.organization.id).sequence
    tamper("DELETE FROM clinic_auditentry WHERE id = %s", pk(line(cast, last)))
    lines, fault = verdict(cast)
    assert lines == last - 1
    assert fault == f"line {last}: missing, the chain ends before its head"


def test_a_line_given_a_new_digest_breaks_the_next(cast: Cast) -> None:
    entry = line(cast, 6)
    entry.at += timedelta(seconds=1)
    tamper(
        "UPDATE clinic_auditentry SET at = %s, digest = %s WHERE id = %s",
        entry.at.isoformat(sep=" "),
        audit.digest(entry),
        pk(entry),
    )
    assert verdict(cast)[1] in (
        "line 7: does not follow the line before it",
        "line 6: content was changed",
    )


@pytest.mark.django_db(transaction=True)
def test_a_line_outside_a_transaction_is_refused(cast: Cast) -> None:
    with scope.within(cast.organization.id), pytest.raises(RuntimeError):
        audit.record("x.y", cast.client, actor="test", at=NOW)


@pytest.mark.django_db(transaction=True)
def test_a_line_is_gone_when_its_write_is_rolled_back(cast: Cast) -> None:
    before = AuditHead.objects.get(pk=cast.organization.id).sequence
    with (
        scope.within(cast.organization.id),
        pytest.raises(ZeroDivisionError),
        transaction.atomic(),
    ):
        audit.record("x.y", cast.client, actor="test", at=NOW)
        raise ZeroDivisionError
    assert AuditHead.objects.get(pk=cast.organization.id).sequence == before
