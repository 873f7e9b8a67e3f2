"""Identifiers: version 7, in order of time, and repeatable in simulated time only."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from clinic.logic.ids import SeededIds, drawn_from, new_id

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


def drawn(seed: str, count: int = 300) -> list[str]:
    with drawn_from(SeededIds(seed, lambda: NOON)):
        return [str(new_id()) for _ in range(count)]


def test_a_fresh_id_is_version_seven_of_the_rfc() -> None:
    assert (new_id().version, new_id().variant) == (7, "specified in RFC 4122")


def test_seeded_ids_keep_version_and_variant() -> None:
    with drawn_from(SeededIds("a", lambda: NOON)):
        assert (new_id().version, new_id().variant) == (7, "specified in RFC 4122")


def test_the_same_seed_gives_the_same_ids_and_another_gives_others() -> None:
    assert drawn("a") == drawn("a")
    assert not set(drawn("a")) & set(drawn("b"))


def test_ids_of_one_moment_sort_in_the_order_they_were_made() -> None:
    made = drawn("a")
    assert made == sorted(set(made))


def test_ids_never_sort_back_when_the_clock_does_not_move_on() -> None:
    moments = iter([NOON, NOON - timedelta(hours=1), NOON + timedelta(hours=1)])
    source = SeededIds("a", lambda: next(moments))
    made = [source() for _ in range(3)]
    assert made == sorted(made)


def test_after_the_block_ids_carry_the_machine_s_time_again() -> None:
    drawn("a", 1)
    made_at = new_id().int >> 80
    assert abs(made_at / 1000 - datetime.now(UTC).timestamp()) < 60
