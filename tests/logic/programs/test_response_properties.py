"""What must hold of the engine for any reports: no order, no repeats, no raise."""

from datetime import datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from programs.logic import body
from programs.logic.assessment import REASONS, URGENCIES, Assessment
from programs.logic.history import prepare
from programs.logic.plan_state import PlanState
from programs.logic.progression import suggest
from programs.logic.reports import COMPLETIONS, OVERALL, SHIFTS, SymptomReport
from programs.logic.response import assess
from tests.logic.programs.cases import START, ZONE

AREAS = st.sampled_from(sorted(body.ALL_AREAS))
RATINGS = st.one_of(st.integers(0, 10), st.floats(0, 10))


def maybe(words: frozenset[str]) -> st.SearchStrategy[str | None]:
    return st.none() | st.sampled_from(sorted(words))


MOMENTS = st.integers(0, 24 * 60 * 35).map(lambda m: START + timedelta(minutes=m))
REPORTS = st.builds(
    SymptomReport,
    at=MOMENTS,
    pain=st.none() | RATINGS,
    areas=st.dictionaries(AREAS, st.sampled_from(sorted(body.STATES)), max_size=3),
    side=maybe(body.SIDES),
    overall=maybe(OVERALL),
    shift=maybe(SHIFTS),
    completion=maybe(COMPLETIONS),
    pain_by_area=st.dictionaries(AREAS, RATINGS, max_size=2),
    sensation=st.dictionaries(AREAS, st.sampled_from(body.SENSATIONS), max_size=2),
)
SERIES = st.lists(REPORTS, max_size=25)
DUE = st.lists(MOMENTS, max_size=10)


def _is_known(found: Assessment) -> bool:
    return (
        found.urgency in (None, *URGENCIES)
        and set(found.reasons) <= set(REASONS)
        and found.location_trend
        in ("centralizing", "peripheralizing", "unchanged", "unclear")
        and found.pain_trend in ("improving", "worsening", "unchanged", "unclear")
        and found.ready_to_progress == ("ready_to_progress" in found.reasons)
    )


@settings(max_examples=150, deadline=None)
@given(SERIES, MOMENTS, st.none() | MOMENTS, DUE, st.none() | REPORTS)
def test_any_series_gets_an_answer_and_never_an_emergency(
    reports: list[SymptomReport],
    now: datetime,
    since: datetime | None,
    due: list[datetime],
    baseline: SymptomReport | None,
) -> None:
    found = assess(reports, now=now, zone=ZONE, since=since, due=due, baseline=baseline)
    assert _is_known(found)
    assert found.urgency != "emergency"


@settings(max_examples=100, deadline=None)
@given(st.data(), SERIES, MOMENTS, st.none() | REPORTS)
def test_order_and_repeats_leave_no_trace(
    data: st.DataObject,
    reports: list[SymptomReport],
    now: datetime,
    baseline: SymptomReport | None,
) -> None:
    repeated = reports + (
        data.draw(st.lists(st.sampled_from(reports), max_size=5)) if reports else []
    )
    shuffled = data.draw(st.permutations(repeated))
    first = assess(reports, now=now, zone=ZONE, baseline=baseline)
    assert first == assess(shuffled, now=now, zone=ZONE, baseline=baseline)


@settings(max_examples=100, deadline=None)
@given(SERIES, MOMENTS)
def test_nobody_is_ready_while_an_alert_is_due(
    reports: list[SymptomReport], now: datetime
) -> None:
    found = assess(reports, now=now, zone=ZONE)
    if found.ready_to_progress:
        assert found.urgency in (None, "review")
        assert not {"spreading", "pain_up", "worse_overall"} & set(found.reasons)


@settings(max_examples=100, deadline=None)
@given(SERIES, MOMENTS)
def test_a_suggestion_never_raises_on_any_assessment(
    reports: list[SymptomReport], now: datetime
) -> None:
    found = assess(reports, now=now, zone=ZONE)
    history = prepare(reports, now=now, zone=ZONE)
    suggestion = suggest(found, history=history, plan=PlanState())
    assert suggestion is None or suggestion.source
