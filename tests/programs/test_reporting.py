"""Reports and their assessment: once, voidable, out of order."""

from __future__ import annotations

from datetime import timedelta

import pytest

from clinic import scope
from clinic.errors import BadInput, Conflict
from programs import assessing, reporting
from programs.logic.reports import SymptomReport
from programs.models import AssessmentRecord, SessionReport
from tests.cast import NOW, Cast, prescribe


def report(hours: float = 0, **said: object) -> SymptomReport:
    return SymptomReport(at=NOW + timedelta(hours=hours), **said)  # type: ignore[arg-type]


def record(cast: Cast, value: SymptomReport, key: str) -> SessionReport:
    return reporting.record(
        cast.client, value, program=None, key=key, actor="client", now=NOW
    )


def test_the_same_key_is_one_report(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        first = record(cast, report(pain=3), "text:1")
        assert record(cast, report(pain=9), "text:1").id == first.id
        assert SessionReport.objects.count() == 1


def test_a_report_reads_back_as_the_value_it_was(cast: Cast) -> None:
    value = report(
        pain=4.5,
        areas={"thigh": "worse"},
        side="left",
        overall="worse",
        shift="down_leg",
        completion="partly",
        pain_by_area={"thigh": 4.5},
        sensation={"thigh": "numb"},
    )
    with scope.within(cast.organization.id):
        row = record(cast, value, "text:1")
        row.refresh_from_db()
        assert reporting.value_of(row) == value


def test_a_voided_report_stays_and_no_longer_counts(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        row = record(cast, report(pain=9), "text:1")
        with pytest.raises(BadInput):
            reporting.void(row, reason=" ", by=cast.clinician, now=NOW)
        reporting.void(row, reason="wrong person", by=cast.clinician, now=NOW)
        with pytest.raises(Conflict):
            reporting.void(row, reason="again", by=cast.clinician, now=NOW)
        assert SessionReport.objects.count() == 1
        assert assessing.reports_of(cast.client, NOW + timedelta(hours=1)) == []


def test_a_report_from_the_future_is_refused(cast: Cast) -> None:
    with scope.within(cast.organization.id), pytest.raises(BadInput):
        reporting.record_in_person(
            cast.client,
            report(hours=5),
            program=None,
            key="room:1",
            by=cast.clinician,
            now=NOW,
        )


def test_arrival_order_does_not_change_the_assessment(cast: Cast) -> None:
    prescribe(cast.client, cast.clinician)
    values = [
        report(1, pain=4, areas={"thigh": "present"}, side="right"),
        report(9, pain=5, areas={"lower_leg": "present"}, side="right"),
        report(18, pain=6, areas={"lower_leg": "present"}, side="right"),
    ]
    now = NOW + timedelta(hours=20)
    with scope.within(cast.organization.id):
        for number, value in enumerate(reversed(values)):
            record(cast, value, f"text:{number}")
        found, kept = assessing.assess_client(cast.client, due=(), now=now)
    assert "spreading" in found.reasons
    assert found.location_trend == "peripheralizing"
    assert kept.reasons == list(found.reasons)
    assert kept.suggestion["action"] in ("step_back", "stop")


def test_each_leg_starts_from_its_own_reach(cast: Cast) -> None:
    program = prescribe(cast.client, cast.clinician)
    with scope.within(cast.organization.id):
        (only,) = assessing.baseline_of(program)
    assert (only.side, dict(only.areas)) == ("right", {"thigh": "present"})


def test_an_assessment_record_is_kept_as_it_was_shown(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        assessing.assess_client(cast.client, due=(), now=NOW)
        row = AssessmentRecord.objects.get()
        with pytest.raises(TypeError):
            row.save()
