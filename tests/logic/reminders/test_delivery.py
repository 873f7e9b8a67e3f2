"""Outbound states: allowed moves, callbacks in any order, what to do on errors."""

import json
from itertools import pairwise, permutations, product
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reminders.logic.delivery import (
    MOVES,
    Reaction,
    State,
    StateError,
    apply_status,
    can_move,
    contradicts,
    move,
    reaction,
)

FIXTURE = Path(__file__).parents[3] / "fixtures" / "gateway_errors.json"
FACTS = json.loads(FIXTURE.read_text(encoding="utf-8"))
ERRORS: list[dict[str, Any]] = FACTS["errors"]
ORDERS: list[dict[str, Any]] = FACTS["callback_orders"]
STATUSES: list[str] = FACTS["statuses"]["all"]
RANK: dict[str, int] = FACTS["statuses"]["rank"]
ENDS = {State.DELIVERED, State.UNDELIVERED, State.FAILED}


def after(callbacks: tuple[str, ...], start: State = State.ACCEPTED) -> State:
    state = start
    for callback in callbacks:
        state = apply_status(state, callback.split(":")[0])
    return state


@pytest.mark.parametrize("case", ORDERS, ids=[case["id"] for case in ORDERS])
def test_published_order_and_every_other_order_end_alike(case: dict[str, Any]) -> None:
    ends = {after(order) for order in permutations(case["callbacks"])}
    assert ends == {State(case["ends"])}


def test_all_published_orders_and_errors_are_here() -> None:
    assert len(ORDERS) == 13
    assert len({case["code"] for case in ERRORS if case.get("code", 0) > 999}) == 26


@given(
    st.lists(st.sampled_from([*STATUSES, "brand_new"]), max_size=6),
    st.sampled_from(list(State)),
    st.randoms(),
)
def test_any_callbacks_end_alike_in_any_order(
    callbacks: list[str], start: State, chance: Any
) -> None:
    shuffled = callbacks[:]
    chance.shuffle(shuffled)
    assert after(tuple(shuffled), start) == after(tuple(callbacks), start)


@pytest.mark.parametrize(("low", "high"), [*product(RANK, RANK)])
def test_no_published_rank_is_taken_back(low: str, high: str) -> None:
    if RANK[low] < RANK[high]:
        reached = after((high,))
        assert apply_status(reached, low) == reached


@pytest.mark.parametrize("state", list(State))
def test_an_unknown_or_inbound_word_changes_nothing(state: State) -> None:
    for word in ("brand_new_status", "receiving", "received", "", "\ud800"):
        assert apply_status(state, word) == state


@pytest.mark.parametrize("state", [State.UNKNOWN, State.ABANDONED, State.SENDING])
def test_a_receipt_lifts_a_text_whose_fate_was_not_known(state: State) -> None:
    assert apply_status(state, "delivered") is State.DELIVERED


def test_two_different_ends_are_worth_a_log_entry() -> None:
    assert contradicts(State.DELIVERED, "undelivered")
    assert not contradicts(State.DELIVERED, "read")
    assert not contradicts(State.SENT, "delivered")
    assert not contradicts(State.DELIVERED, "brand_new_status")


@pytest.mark.parametrize(
    "path",
    [
        "pending claimed sending accepted",
        "pending claimed sending unknown accepted",
        "pending claimed sending unknown pending claimed",
        "pending claimed sending unknown abandoned",
        "pending claimed sending pending",
        "pending claimed sending failed",
        "pending held pending expired",
        "pending claimed cancelled",
        "pending claimed held cancelled",
        "undelivered pending",
    ],
)
def test_the_ways_a_text_may_go(path: str) -> None:
    states = [State(word) for word in path.split()]
    for one, following in pairwise(states):
        assert move(one, following) is following


@pytest.mark.parametrize(
    ("state", "to"),
    [
        ("pending", "sending"),  # no intent without a claim
        ("pending", "accepted"),
        ("sending", "cancelled"),  # too late, it may be out
        ("sending", "expired"),
        ("unknown", "sending"),  # never blindly again
        ("cancelled", "pending"),
        ("expired", "pending"),
        ("abandoned", "pending"),
        ("accepted", "pending"),
        ("sent", "pending"),
        ("delivered", "pending"),
    ],
)
def test_a_way_that_could_double_or_revive_a_text_is_closed(
    state: str, to: str
) -> None:
    assert not can_move(State(state), State(to))
    with pytest.raises(StateError, match=f"{state} cannot become {to}"):
        move(State(state), State(to))


def test_every_state_is_reached_by_us_or_by_the_gateway() -> None:
    by_us = {to for targets in MOVES.values() for to in targets}
    by_gateway = {after((status,)) for status in STATUSES}
    assert by_us | by_gateway == set(State)


@pytest.mark.parametrize("case", ERRORS, ids=[case["id"] for case in ERRORS])
def test_error_has_the_reaction_it_needs(case: dict[str, Any]) -> None:
    found = reaction(
        code=case.get("code"),
        http_status=case.get("http_status"),
        exception=case.get("exception"),
    )
    assert found == Reaction(case["retry"], case["action"])


@pytest.mark.parametrize(
    ("known", "expected"),
    [
        ({"code": 99999}, Reaction("no", "show_staff")),
        ({"code": 99999, "http_status": 400}, Reaction("no", "show_staff")),
        ({"code": 99999, "http_status": 500}, Reaction("ambiguous", "reconcile")),
        ({"code": 0}, Reaction("no", "show_staff")),
        ({"http_status": 404}, Reaction("no", "show_staff")),
        ({"http_status": 429}, Reaction("yes", "back_off")),
        ({"http_status": 401}, Reaction("no", "halt_queue")),
        ({"exception": "something_new"}, Reaction("ambiguous", "reconcile")),
        ({"exception": "connect_timeout"}, Reaction("yes", "back_off")),
        ({}, Reaction("no", "show_staff")),
    ],
)
def test_what_is_not_known_is_never_sent_again(
    known: dict[str, Any], expected: Reaction
) -> None:
    assert reaction(**known) == expected
