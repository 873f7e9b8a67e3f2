"""The cohort bench in small: it runs, counts as it says, and its floors hold."""

from datetime import timedelta
from xml.etree import ElementTree

import pytest

from programs.logic.response import assess
from reminders.logic.reply import parse_reply
from reminders.simulation import courses
from tests.bench.cohort import picture, scoring
from tests.bench.cohort.clients import ZONE, World, cohort, midnight
from tests.bench.cohort.figures import Figures, run
from tests.bench.cohort.rules import RULES, Alarm, arriving, ours

WATCHED = (
    courses.PERIPHERALIZER,
    courses.PAIN_ONLY_WORSENING,
    courses.PLATEAU,
    courses.NON_RESPONDER,
)


@pytest.fixture(scope="module")
def figures() -> Figures:
    return run(ours, WATCHED, count=12, seed=3)


def test_who_spreads_or_worsens_is_found(figures: Figures) -> None:
    assert (figures[courses.PERIPHERALIZER].sensitivity or 0) >= 0.9
    assert (figures[courses.PAIN_ONLY_WORSENING].sensitivity or 0) >= 0.65


def test_a_plateau_seldom_alarms_and_silence_always_does(figures: Figures) -> None:
    assert figures[courses.PLATEAU].false_per_100 <= 2.5
    assert figures[courses.NON_RESPONDER].silence_found == 1.0


def test_the_same_seed_gives_the_same_clients() -> None:
    first, second = (list(cohort("plateau", 3, seed=5)) for _ in range(2))
    assert first == second
    assert first != list(cohort("plateau", 3, seed=7))


def test_reports_late_and_repeated_end_as_reports_in_order() -> None:
    client = next(cohort(courses.PERIPHERALIZER, 1, seed=5))
    late = [report for _, report in arriving(client, World(shuffled=True))]
    assert len(late) > len(client.reports)
    known = {"zone": ZONE, "since": client.since, "baseline": client.start}
    ends = [assess(each, now=client.end, **known) for each in (client.reports, late)]
    assert ends[0] == ends[1]


def test_an_episode_opens_at_most_every_three_days() -> None:
    alarms = [
        Alarm(midnight(0) + timedelta(hours=hours), "spreading", "next_day")
        for hours in (0, 10, 71, 72, 100, 150)
    ]
    opened = scoring.episodes(alarms)
    assert [alarms.index(each) for each in opened] == [0, 3, 5]


def test_every_simple_rule_raises_more_than_ours() -> None:
    kinds = (courses.PLATEAU,)
    found = {
        name: run(rule, kinds, count=8, seed=5)[courses.PLATEAU].false_per_100
        for name, rule in RULES.items()
    }
    assert found.pop("ours") < min(found.values())


def test_the_picture_is_an_svg_with_its_words() -> None:
    points = [picture.Point("ours", 0.3, 0.9), picture.Point("a < b", 20, 1)]
    drawn = picture.svg(points, points, points, "a note")
    root = ElementTree.fromstring(drawn)  # noqa: S314 - our own text
    assert root.tag.endswith("svg")
    assert "90 % found" in "".join(root.itertext())


@pytest.mark.parametrize("kind", [courses.PLATEAU, "back_up_leg_in"])
def test_a_report_put_into_a_text_reads_as_it_was(kind: str) -> None:
    from tests.bench.cohort.texted import text_of

    for client in cohort(kind, 2, seed=5):
        for said in client.reports:
            read = parse_reply(text_of(said), asked="session")
            assert read.pain == said.pain
            assert dict(read.areas) == dict(said.areas)
            assert (read.side, read.completion) == (said.side, said.completion)
            assert not read.warnings and not read.needs_human
