"""Outcome measures: recorded once, voided with a reason, asked by a link used once."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection

from clinic import scope
from clinic.errors import BadInput, Conflict
from clinic.models import AuditEntry, Client
from programs import measuring, questions
from programs.models import Outcome, OutcomeAsk
from tests.cast import NOW, OTHER_NUMBER, Cast, enroll


@pytest.fixture(autouse=True)
def _inside(cast: Cast) -> Iterator[None]:
    with scope.within(cast.organization.id):
        rows = Client.objects.filter(pk=cast.client.pk)
        rows.update(monitoring="active")
        cast.client.refresh_from_db()
        yield


def typed(cast: Cast, measure: str, answers: Any, **changes: Any) -> Outcome:
    values = {"at": NOW, "key": measuring.new_key(), "by": cast.clinician, "now": NOW}
    return measuring.record_in_clinic(cast.client, measure, answers, **values | changes)


def asked(cast: Cast, measure: str = "nprs") -> OutcomeAsk:
    return measuring.ask(cast.client, measure, by=cast.clinician, now=NOW)


def own_activities(*ratings: int | None) -> dict[str, Any]:
    names = ("stairs", "socks", "driving")
    rows = [{"name": n, "rating": r} for n, r in zip(names, ratings, strict=False)]
    return {"activities": rows}


def test_an_answer_is_kept_with_its_score_who_and_when(cast: Cast) -> None:
    row = typed(cast, "rmdq", {"ticked": [3, 5, 18]}, at=NOW - timedelta(days=1))
    row.refresh_from_db()
    assert (row.score, row.missing, row.source) == (3.0, 0, "clinic")
    assert (row.by, row.recorded_at) == (cast.clinician, NOW)
    assert json.loads(row.answers) == {"ticked": [3, 5, 18]}
    line = AuditEntry.objects.order_by("-sequence")[0]
    assert (line.action, line.subject_id) == ("outcome.recorded", row.id)
    assert line.detail == {"client": str(cast.client.id)}


def test_an_answer_is_never_changed_or_deleted(cast: Cast) -> None:
    row = typed(cast, "nprs", {"pain": 5})
    row.score = 4
    with pytest.raises(TypeError):
        row.save()
    with pytest.raises(TypeError):
        row.delete()


def test_the_answers_rest_encrypted(cast: Cast) -> None:
    typed(cast, "psfs", own_activities(2, 3, 4))
    with connection.cursor() as cursor:
        cursor.execute("SELECT answers FROM programs_outcome")
        ((stored,),) = cursor.fetchall()
    assert "stairs" not in stored


def test_the_same_key_is_one_answer_of_one_client(cast: Cast) -> None:
    first = typed(cast, "nprs", {"pain": 5}, key="k")
    assert typed(cast, "nprs", {"pain": 9}, key="k").id == first.id
    with pytest.raises(Conflict):
        typed(cast, "grc", {"change": 1}, key="k")
    other = enroll(cast.far_site, cast.far_clinician, number=OTHER_NUMBER)
    with pytest.raises(Conflict):
        measuring.record_in_clinic(
            other, "nprs", {"pain": 5}, at=NOW, key="k", by=cast.clinician, now=NOW
        )


@pytest.mark.parametrize(
    ("measure", "answers", "field"),
    [
        ("rmdq", {"total": 25}, "total"),
        ("nprs", {}, "pain"),
        ("start_back", {"total": 3, "distress": 4}, "distress"),
        ("sf36", {"total": 3}, "measure"),
    ],
)
def test_what_cannot_be_scored_is_not_kept(
    cast: Cast, measure: str, answers: Any, field: str
) -> None:
    with pytest.raises(BadInput) as refused:
        typed(cast, measure, answers)
    assert refused.value.field == field
    assert not Outcome.objects.exists()


def test_an_answer_of_the_future_is_refused(cast: Cast) -> None:
    with pytest.raises(BadInput):
        typed(cast, "nprs", {"pain": 5}, at=NOW + timedelta(seconds=1))


def test_a_voided_answer_leaves_the_course_and_stays(cast: Cast) -> None:
    typed(cast, "rmdq", {"total": 14}, at=NOW - timedelta(days=30))
    wrong = typed(cast, "rmdq", {"total": 2})
    with pytest.raises(BadInput):
        measuring.void(wrong, reason=" ", by=cast.clinician, now=NOW)
    measuring.void(wrong, reason="Another person's form", by=cast.clinician, now=NOW)
    with pytest.raises(Conflict):
        measuring.void(wrong, reason="again", by=cast.clinician, now=NOW)
    rows = list(questions.outcomes_of(cast.client))
    assert len(rows) == 2
    (step,) = questions.course_of(rows, "rmdq")
    assert step.taken.value == 14


def test_a_link_opens_its_page_and_no_token_is_kept(cast: Cast) -> None:
    ask = asked(cast)
    token = questions.token_of(ask)
    assert len(token) == 22
    assert ask.digest == questions.digest_of(token)
    assert token not in str(OutcomeAsk.objects.values().get())
    found = questions.by_token(token)
    assert found is not None
    assert found.id == ask.id
    assert questions.by_token(token[:-1] + "!") is None
    assert questions.by_token("\udc80") is None


def test_a_row_changed_in_the_database_opens_nothing(cast: Cast) -> None:
    ask = asked(cast)
    token = questions.token_of(ask)
    OutcomeAsk.objects.filter(pk=ask.pk).update(
        expires_at=ask.expires_at + timedelta(days=99)
    )
    assert questions.by_token(token) is None


def test_a_page_is_answered_once(cast: Cast) -> None:
    ask = asked(cast)
    row = measuring.answer(ask, {"pain": 4}, now=NOW + timedelta(hours=1))
    assert (row.score, row.source, row.by) == (4.0, "link", None)
    ask.refresh_from_db()
    assert (ask.closed_why, ask.outcome) == ("answered", row)
    with pytest.raises(Conflict):
        measuring.answer(ask, {"pain": 2}, now=NOW + timedelta(hours=2))
    assert Outcome.objects.count() == 1
    line = AuditEntry.objects.get(action="outcome.recorded")
    assert line.actor == f"client:{cast.client.id}"


def test_a_refused_answer_leaves_the_page_open(cast: Cast) -> None:
    ask = asked(cast)
    with pytest.raises(BadInput):
        measuring.answer(ask, {}, now=NOW)
    ask.refresh_from_db()
    assert questions.is_open(ask, NOW)


def test_a_page_closes_by_time_by_a_newer_one_and_with_care(cast: Cast) -> None:
    first = asked(cast)
    assert questions.is_open(first, NOW + timedelta(days=7, seconds=-1))
    assert not questions.is_open(first, NOW + timedelta(days=7))
    second = asked(cast)
    first.refresh_from_db()
    assert (first.closed_why, questions.is_open(first, NOW)) == ("replaced", False)
    assert questions.is_open(second, NOW)
    second.client.monitoring = "ended"
    assert not questions.is_open(second, NOW)


def test_what_may_not_be_shown_is_not_asked(cast: Cast) -> None:
    for measure in ("odi", "start_back"):
        with pytest.raises(BadInput):
            asked(cast, measure)
    cast.client.language = "es"
    with pytest.raises(BadInput):
        asked(cast, "rmdq")
    assert asked(cast, "grc").closed_at is None


def test_own_activities_are_asked_only_once_they_are_written_down(cast: Cast) -> None:
    with pytest.raises(Conflict):
        asked(cast, "psfs")
    typed(cast, "psfs", own_activities(2, 3, None))
    assert questions.activities(cast.client) == ["stairs", "socks", "driving"]
    assert asked(cast, "psfs").measure == "psfs"
