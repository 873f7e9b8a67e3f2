import pytest

from programs.logic.assessment import Assessment
from reminders.logic.alert_policy import (
    ANSWER_KINDS,
    Context,
    Reaction,
    findings,
    reaction,
    says_nothing,
)
from tests.logic.reminders.alert_facts import NOW, SaidReply, SeenAssessment, warned

NOTHING = SeenAssessment()
FARTHER_ONCE = SeenAssessment(numbers={"farther_once": {"zones": 1.0}})
SPREADING = SeenAssessment(urgency="next_day", reasons=("spreading",))


def react(reply: SaidReply, assessment: SeenAssessment = NOTHING, **known) -> Reaction:
    context = Context(now=NOW, **known)
    found = findings(reply, assessment, context=context)
    return reaction(reply, assessment, found, context=context)


def test_an_emergency_answers_with_safety_words_holds_and_pages():
    assert react(warned("bladder_bowel", pain=4)) == Reaction(
        answer_kind="safety_spine",
        hold_program=True,
        start_on_call=True,
        safety_families=("spine",),
    )


def test_a_same_day_warning_holds_the_program_without_paging():
    seen = react(warned("calf_swelling"))
    assert (seen.hold_program, seen.start_on_call) == (True, False)
    assert seen.answer_kind == "safety_chest_calf"


def test_cancer_signs_alone_neither_hold_nor_page():
    seen = react(warned("cancer_signs"))
    assert (seen.hold_program, seen.start_on_call) == (False, False)


def test_two_families_are_both_named_and_the_first_answers():
    seen = react(warned("crisis", "saddle_numbness"))
    assert seen.safety_families == ("spine", "crisis")
    assert seen.answer_kind == "safety_spine"


def test_a_warning_is_never_answered_with_a_question():
    reply = warned("leg_weakness", ask_back="safety")
    assert react(reply, FARTHER_ONCE).ask_back is None


def test_an_opt_out_is_answered_by_its_own_text_but_still_alarms():
    seen = react(warned("bladder_bowel", stop_inside=True))
    assert seen.answer_kind is None
    assert seen.start_on_call
    assert seen.safety_families == ("spine",)


@pytest.mark.parametrize("keyword", ["stop", "start", "help"])
def test_keywords_are_answered_by_their_own_texts(keyword):
    assert react(SaidReply(keyword=keyword)) == Reaction(answer_kind=None)


@pytest.mark.parametrize(
    ("reply", "answer"),
    [
        (SaidReply(overall="better", completion="done", pain=3), "thanks_better"),
        (SaidReply(shift="toward_back", pain=3), "thanks_better"),
        (SaidReply(overall="same", completion="done"), "thanks_same"),
        (SaidReply(completion="done", pain=4), "thanks_done"),
        (SaidReply(completion="partly"), "thanks_done"),
        (SaidReply(completion="skipped", overall="better"), "thanks_skipped"),
        (SaidReply(pain=4), "thanks_same"),
        (SaidReply(needs_human=True, completion="done"), "answer_question"),
        (SaidReply(overall="worse", pain=7), "answer_worse"),
    ],
)
def test_an_ordinary_reply_gets_the_answer_that_fits(reply, answer):
    seen = react(reply)
    assert (seen.answer_kind, seen.ask_back) == (answer, None)


def test_a_worse_reply_out_of_hours_says_that_the_site_is_closed():
    seen = react(SaidReply(overall="worse"), site_open=False)
    assert seen.answer_kind == "answer_worse_closed"


def test_a_question_out_of_hours_is_told_that_the_site_is_closed():
    seen = react(SaidReply(needs_human=True), site_open=False)
    assert seen.answer_kind == "answer_question_closed"


def test_worsening_outranks_the_question_in_the_same_reply():
    reply = SaidReply(overall="worse", needs_human=True)
    assert react(reply).answer_kind == "answer_worse"


def test_a_first_spread_is_answered_as_worse():
    reply = SaidReply(completion="done", areas={"foot": "present"})
    assert react(reply, SPREADING).answer_kind == "answer_worse"


@pytest.mark.parametrize("reason", ["spreading", "pain_up", "new_numbness"])
def test_nothing_is_praised_while_a_worsening_alert_is_open(reason):
    better = SaidReply(overall="better", completion="done", pain=2)
    seen = react(better, open_alert_reasons=frozenset({reason}))
    assert seen.answer_kind == "answer_held"


def test_an_episode_that_still_shows_is_not_announced_again():
    better = SaidReply(overall="better", pain=3)
    seen = react(better, SPREADING, open_alert_reasons=frozenset({"spreading"}))
    assert seen.answer_kind == "answer_held"


def test_a_held_program_gets_the_held_answer_even_to_a_question():
    seen = react(SaidReply(needs_human=True), program_held=True)
    assert seen.answer_kind == "answer_held"


def test_an_open_question_does_not_stop_praise():
    better = SaidReply(overall="better")
    seen = react(better, open_alert_reasons=frozenset({"question"}))
    assert seen.answer_kind == "thanks_better"


def test_a_sorer_back_with_a_clearing_leg_is_not_called_worse():
    seen = react(
        SaidReply(overall="worse", pain=6), SeenAssessment(reasons=("back_up_leg_in",))
    )
    assert seen.answer_kind == "thanks_same"


def test_a_single_farther_area_is_asked_back_without_an_alert():
    reply = SaidReply(pain=4, completion="done", areas={"lower_leg": "present"})
    assert findings(reply, FARTHER_ONCE, context=Context(now=NOW)) == ()
    assert react(reply, FARTHER_ONCE) == Reaction("ask_reach", ask_back="reach")


def test_new_numbness_is_asked_about_before_anything_else():
    reply = SaidReply(
        overall="worse", areas={"foot": "new"}, sensation={"foot": "numb"}
    )
    seen = react(reply, FARTHER_ONCE)
    assert (seen.answer_kind, seen.ask_back) == ("ask_safety", "safety")


def test_a_safety_question_just_asked_is_not_asked_again():
    reply = SaidReply(areas={"foot": "new"}, sensation={"foot": "numb"})
    seen = react(
        reply,
        recent_ask_backs=frozenset({"safety"}),
        open_alert_reasons=frozenset({"new_numbness"}),
    )
    assert (seen.answer_kind, seen.ask_back) == ("answer_held", None)


@pytest.mark.parametrize("kind", ["who", "opt_out", "safety", "reach", "pain"])
def test_what_the_reader_wants_to_know_is_asked_once(kind):
    reply = SaidReply(ask_back=kind, needs_human=True)
    assert react(reply).answer_kind == f"ask_{kind}"
    again = react(reply, recent_ask_backs=frozenset({kind}))
    assert (again.answer_kind, again.ask_back) == ("answer_question", None)


def test_an_empty_reply_is_asked_for_pain_once_and_then_thanked():
    assert react(SaidReply()) == Reaction("ask_pain", ask_back="pain")
    again = react(SaidReply(), recent_ask_backs=frozenset({"pain"}))
    assert again == Reaction("thanks_same")


@pytest.mark.parametrize(
    "reply",
    [
        SaidReply(pain=0.0),
        SaidReply(completion="skipped"),
        SaidReply(areas={"back": "present"}),
        SaidReply(sensation={"foot": "tingling"}),
        SaidReply(needs_human=True),
    ],
)
def test_a_reply_that_says_anything_is_not_empty(reply):
    assert not says_nothing(reply)
    assert react(reply).ask_back is None


def test_a_real_assessment_is_taken_as_it_comes():
    seen = Assessment(
        urgency="same_day", reasons=("spreading",), numbers={"spreading": {"zones": 2}}
    )
    context = Context(now=NOW)
    found = findings(SaidReply(pain=5), seen, context=context)
    assert [(each.reason, each.urgency) for each in found] == [
        ("spreading", "same_day")
    ]
    answered = reaction(SaidReply(pain=5), seen, found, context=context)
    assert answered.answer_kind == "answer_worse"


def every_reply():
    return [
        SaidReply(overall=overall, ask_back=ask, completion=done, needs_human=human)
        for overall in (None, "better", "same", "worse")
        for ask in (None, "safety", "reach", "pain", "who", "opt_out")
        for done in (None, "done", "partly", "skipped")
        for human in (False, True)
    ]


@pytest.mark.parametrize("assessment", [NOTHING, FARTHER_ONCE, SPREADING])
def test_every_reply_gets_one_known_answer_and_at_most_its_own_question(assessment):
    for reply in every_reply():
        seen = react(reply, assessment)
        assert seen.answer_kind in ANSWER_KINDS
        assert (seen.ask_back is not None) == seen.answer_kind.startswith("ask_")


def test_no_reply_is_praised_while_numbness_is_open():
    for reply in every_reply():
        seen = react(reply, open_alert_reasons=frozenset({"new_numbness"}))
        assert not seen.answer_kind.startswith("thanks_")
