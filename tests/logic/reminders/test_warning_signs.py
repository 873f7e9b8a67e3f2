import pytest

from reminders.logic.warning_signs import (
    WARNING_KINDS,
    safety_family,
    urgency_of_warning,
)
from tests.logic.reminders.alert_facts import SaidReply, warned


def weak(state: str | None = None, **said) -> SaidReply:
    areas = {} if state is None else {"foot": state}
    return warned("leg_weakness", sensation={"foot": "weak"}, areas=areas, **said)


@pytest.mark.parametrize(
    "kind",
    [
        "bladder_bowel",
        "saddle_numbness",
        "sexual_function",
        "chest_breathing",
        "crisis",
    ],
)
def test_these_signs_are_always_an_emergency(kind):
    assert urgency_of_warning(kind, warned(kind)) == "emergency"


@pytest.mark.parametrize("state", [None, "present", "new", "worse"])
def test_weakness_that_may_be_new_is_an_emergency(state):
    assert urgency_of_warning("leg_weakness", weak(state)) == "emergency"


@pytest.mark.parametrize("state", ["same", "better", "gone"])
def test_weakness_said_to_be_no_worse_is_for_the_same_day(state):
    assert urgency_of_warning("leg_weakness", weak(state)) == "same_day"


def test_one_weak_area_of_unknown_age_makes_known_weakness_an_emergency():
    reply = warned(
        "leg_weakness",
        sensation={"foot": "weak", "thigh": "weak"},
        areas={"foot": "same", "thigh": "present"},
    )
    assert urgency_of_warning("leg_weakness", reply) == "emergency"


def test_weakness_in_no_named_area_is_an_emergency():
    assert urgency_of_warning("leg_weakness", warned("leg_weakness")) == "emergency"


def test_known_weakness_with_everything_worse_is_an_emergency():
    reply = weak("same", overall="worse")
    assert urgency_of_warning("leg_weakness", reply) == "emergency"


@pytest.mark.parametrize(
    ("reply", "expected"),
    [
        (warned("both_legs"), "same_day"),
        (warned("both_legs", sensation={"foot": "tingling"}), "same_day"),
        (warned("both_legs", sensation={"foot": "numb"}), "emergency"),
        (warned("both_legs", sensation={"leg": "weak"}), "emergency"),
        (warned("both_legs", "leg_weakness"), "emergency"),
        (warned("both_legs", "bladder_bowel"), "emergency"),
    ],
)
def test_both_legs_are_an_emergency_when_numb_or_weak(reply, expected):
    assert urgency_of_warning("both_legs", reply) == expected


def test_fever_is_for_the_same_day_and_an_emergency_with_rigors():
    reply = warned("fever_unwell")
    assert urgency_of_warning("fever_unwell", reply) == "same_day"
    assert urgency_of_warning("fever_unwell", reply, severe=True) == "emergency"


def test_rigors_do_not_raise_another_sign():
    assert urgency_of_warning("fall_injury", warned(), severe=True) == "same_day"


def test_cancer_signs_wait_a_day_unless_a_leg_is_weak():
    assert urgency_of_warning("cancer_signs", warned("cancer_signs")) == "next_day"
    both = warned("cancer_signs", "leg_weakness")
    assert urgency_of_warning("cancer_signs", both) == "emergency"


@pytest.mark.parametrize("kind", ["fall_injury", "calf_swelling"])
def test_injury_and_calf_are_for_the_same_day(kind):
    assert urgency_of_warning(kind, warned(kind)) == "same_day"


def test_an_unknown_kind_is_refused():
    with pytest.raises(ValueError, match="unknown warning kind 'toothache'"):
        urgency_of_warning("toothache", warned())


def test_every_kind_has_an_urgency_and_a_family():
    assert len(WARNING_KINDS) == 11
    for kind in WARNING_KINDS:
        assert urgency_of_warning(kind, warned(kind))
        assert len(safety_family([kind])) == 1


@pytest.mark.parametrize(
    ("kinds", "families"),
    [
        ((), ()),
        (("bladder_bowel", "saddle_numbness", "leg_weakness"), ("spine",)),
        (("crisis", "both_legs"), ("spine", "crisis")),
        (("fever_unwell", "chest_breathing"), ("chest_calf", "injury_infection")),
        (("fall_injury", "fever_unwell"), ("injury_infection",)),
        (("sexual_function",), ("spine",)),
        (("calf_swelling",), ("chest_calf",)),
        (("crisis", "chest_breathing"), ("chest_calf", "crisis")),
    ],
)
def test_each_family_answers_once_in_a_fixed_order(kinds, families):
    assert safety_family(kinds) == families
    assert safety_family(reversed(kinds)) == families
