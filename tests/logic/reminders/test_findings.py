import pytest

from reminders.logic.findings import (
    Context,
    Finding,
    findings,
    says_worse,
    without_settled,
)
from tests.logic.reminders.alert_facts import NOW, SaidReply, SeenAssessment, warned

CONTEXT = Context(now=NOW)
NOTHING = SeenAssessment()


def found(reply=None, assessment=NOTHING, context=CONTEXT):
    return findings(reply or SaidReply(), assessment, context=context)


def test_a_quiet_reply_finds_nothing():
    assert found(SaidReply(pain=3, completion="done", areas={"back": "present"})) == ()


def test_warnings_are_named_by_kind_and_come_worst_first():
    assert found(warned("fall_injury", "bladder_bowel")) == (
        Finding("bladder_bowel", "emergency"),
        Finding("fall_injury", "same_day"),
    )


def test_rigors_reach_the_fever():
    context = Context(now=NOW, severe_fever=True)
    assert found(warned("fever_unwell"), context=context) == (
        Finding("fever_unwell", "emergency"),
    )


@pytest.mark.parametrize(
    ("reason", "urgency", "expected"),
    [
        ("spreading", "next_day", "next_day"),
        ("spreading", "same_day", "same_day"),
        ("pain_up", "next_day", "next_day"),
        ("new_numbness", "next_day", "next_day"),
        ("worse_overall", "review", "review"),
        ("worse_overall", "next_day", "next_day"),
        ("no_response", "review", "review"),
        ("skipping", "review", "review"),
        ("unstable", None, "review"),
    ],
)
def test_reasons_of_the_assessment_become_findings(reason, urgency, expected):
    seen = SeenAssessment(urgency=urgency, reasons=(reason,))
    assert found(assessment=seen) == (Finding(reason, expected),)


def test_two_zones_raise_the_spread_and_not_its_company():
    seen = SeenAssessment(urgency="same_day", reasons=("pain_up", "spreading"))
    assert found(assessment=seen) == (
        Finding("spreading", "same_day"),
        Finding("pain_up", "next_day"),
    )


def test_the_urgency_of_a_silence_is_not_lent_to_another_reason():
    seen = SeenAssessment(urgency="next_day", reasons=("silent", "unstable"))
    assert found(assessment=seen) == (Finding("unstable", "review"),)


@pytest.mark.parametrize(
    "reason", ["back_up_leg_in", "working_keep", "ready_to_progress", "silent"]
)
def test_reasons_to_keep_going_open_nothing(reason):
    assert found(assessment=SeenAssessment(reasons=(reason,))) == ()


def test_a_question_is_reviewed():
    assert found(SaidReply(needs_human=True)) == (Finding("question", "review"),)


def test_a_warning_is_not_also_a_question():
    assert {f.reason for f in found(warned("crisis"))} == {"crisis"}


def test_a_reply_about_someone_else_is_reviewed_once():
    reply = SaidReply(needs_human=True, ask_back="who")
    assert found(reply) == (Finding("who", "review"),)


@pytest.mark.parametrize("state", ["new", "worse"])
def test_newly_stated_numbness_is_for_the_next_day(state):
    reply = SaidReply(areas={"foot": state}, sensation={"foot": "numb"})
    assert Finding("new_numbness", "next_day") in found(reply)


def test_numbness_that_is_only_present_is_left_to_the_assessment():
    reply = SaidReply(areas={"foot": "present"}, sensation={"foot": "numb"})
    assert found(reply) == ()


def test_new_numbness_seen_twice_is_one_finding():
    reply = SaidReply(areas={"foot": "new"}, sensation={"foot": "numb"})
    seen = SeenAssessment(urgency="next_day", reasons=("new_numbness",))
    assert found(reply, seen) == (Finding("new_numbness", "next_day"),)


def test_a_reply_that_says_worse_is_never_left_without_a_finding():
    assert found(SaidReply(overall="worse")) == (Finding("worse_overall", "review"),)


def test_worse_is_explained_by_the_spread_it_belongs_to():
    seen = SeenAssessment(urgency="same_day", reasons=("spreading",))
    reply = SaidReply(overall="worse")
    assert found(reply, seen) == (Finding("spreading", "same_day"),)


def test_a_sorer_back_with_a_clearing_leg_opens_nothing():
    seen = SeenAssessment(reasons=("back_up_leg_in",))
    assert found(SaidReply(overall="worse", pain=6), seen) == ()


@pytest.mark.parametrize(
    ("reply", "expected"),
    [
        (SaidReply(overall="worse"), True),
        (SaidReply(shift="down_leg"), True),
        (SaidReply(areas={"lower_leg": "worse"}), True),
        (SaidReply(areas={"back": "worse"}), True),
        (SaidReply(areas={"back": "better", "foot": "worse"}), True),
        (SaidReply(areas={"back": "worse", "foot": "gone"}, overall="worse"), False),
        (SaidReply(shift="toward_back", overall="worse"), False),
        (SaidReply(areas={"foot": "new"}), False),
        (SaidReply(overall="same"), False),
        (SaidReply(), False),
    ],
)
def test_worse_is_read_by_location_first(reply, expected):
    assert says_worse(reply) is expected


def test_what_was_decided_on_lately_is_not_raised_by_the_series_again():
    spread = Finding("spreading", "next_day")
    left = without_settled([spread], {"spreading": "next_day"}, SaidReply(pain=4))
    assert left == ()


@pytest.mark.parametrize(
    ("settled", "reply"),
    [
        ({"spreading": "review"}, SaidReply(pain=4)),
        ({"spreading": "next_day"}, SaidReply(overall="worse")),
        ({"pain_up": "next_day"}, SaidReply(pain=4)),
    ],
    ids=["more urgent than then", "the client says worse", "another reason"],
)
def test_what_is_new_since_the_decision_is_raised(settled, reply):
    spread = Finding("spreading", "next_day")
    assert without_settled([spread], settled, reply) == (spread,)


def test_a_warning_sign_is_raised_however_lately_it_was_decided_on():
    sign = Finding("bladder_bowel", "emergency")
    settled = {"bladder_bowel": "emergency"}
    assert without_settled([sign], settled, SaidReply()) == (sign,)
