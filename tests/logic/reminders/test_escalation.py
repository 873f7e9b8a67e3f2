from datetime import UTC, datetime, timedelta

import pytest

from reminders.logic.escalation import Page, next_page

OPENED = datetime(2026, 3, 7, 2, 0, tzinfo=UTC)
WAIT = timedelta(minutes=5)


def minutes(count: int) -> datetime:
    return OPENED + timedelta(minutes=count)


def page_due(now, *pages, acknowledged=None, chain_length=3):
    return next_page(
        OPENED, acknowledged, pages, chain_length=chain_length, now=now, wait=WAIT
    )


def test_the_first_person_is_paged_at_once_at_night():
    assert page_due(OPENED) == 0


def test_nobody_is_paged_again_before_the_wait_is_over():
    assert page_due(minutes(4), Page(0, OPENED)) is None


def test_the_next_person_is_paged_after_the_wait():
    assert page_due(minutes(5), Page(0, OPENED)) == 1


def test_the_chain_starts_again_after_its_last_person():
    pages = [Page(2, minutes(10)), Page(0, OPENED), Page(1, minutes(5))]
    assert page_due(minutes(15), *pages) == 0


def test_acknowledging_ends_the_paging():
    assert page_due(minutes(30), Page(0, OPENED), acknowledged=minutes(6)) is None


def test_an_acknowledgment_of_an_earlier_episode_does_not_count():
    old = OPENED - timedelta(hours=1)
    assert page_due(minutes(1), Page(2, old), acknowledged=old) == 0


def test_a_chain_grown_shorter_still_has_somebody():
    assert page_due(minutes(5), Page(4, OPENED), chain_length=2) == 1


def test_an_empty_chain_pages_nobody():
    assert page_due(minutes(5), chain_length=0) is None


@pytest.mark.parametrize(("length", "wait"), [(-1, WAIT), (3, timedelta(0))])
def test_a_negative_chain_or_no_wait_is_refused(length, wait):
    with pytest.raises(ValueError, match="positive wait"):
        next_page(OPENED, None, [], chain_length=length, now=OPENED, wait=wait)


def test_everybody_is_paged_in_turn_until_somebody_answers():
    pages: list[Page] = []
    for minute in range(60):
        position = page_due(minutes(minute), *pages)
        if position is not None:
            pages.append(Page(position, minutes(minute)))
    assert [page.position for page in pages] == [0, 1, 2] * 4


OFF, ON = False, True


@pytest.mark.parametrize(
    ("on_duty", "pages", "place"),
    [
        ((OFF, ON, ON), [], 1),
        ((OFF, ON, ON), [Page(2, OPENED)], 1),
        ((ON, OFF, ON), [Page(0, OPENED)], 2),
        ((OFF, OFF, ON), [Page(2, OPENED)], 2),
        ((OFF, OFF, OFF), [], 0),
        ((OFF, OFF, OFF), [Page(0, OPENED)], 1),
    ],
)
def test_who_is_off_duty_is_passed_over_unless_all_are(on_duty, pages, place):
    assert (
        next_page(
            OPENED,
            None,
            pages,
            chain_length=3,
            now=minutes(5),
            wait=WAIT,
            on_duty=on_duty,
        )
        == place
    )
