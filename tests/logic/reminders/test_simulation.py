import random
import statistics
from collections import Counter
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import phonenumbers
import pytest

from reminders.simulation.clients import make_clients
from reminders.simulation.mixes import REALISTIC_MIX, TEST_MIX, allot
from reminders.simulation.people import ZONE_OF_AREA_CODE
from reminders.simulation.phrasebook import phrasebook
from tests.logic.reminders.simulated_days import texted

MORNING = datetime(2026, 3, 2, 14, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def month():
    return list(texted(make_clients(160, seed=11)))


@pytest.fixture(scope="module")
def hard_month():
    return list(texted(make_clients(120, seed=5, mix=TEST_MIX)))


def everything(sent):
    return [answer for each in sent for answer in each.answers]


def test_the_same_seed_gives_the_same_people_and_the_same_words():
    runs = [list(texted(make_clients(12, seed=3), days=6)) for _ in range(2)]
    assert everything(runs[0]) == everything(runs[1])
    assert [s.client.phone for s in runs[0]] == [s.client.phone for s in runs[1]]


def test_another_seed_gives_other_people_and_words():
    runs = [list(texted(make_clients(12, seed=seed), days=6)) for seed in (3, 4)]
    assert everything(runs[0]) != everything(runs[1])
    assert runs[0][0].client.phone != runs[1][0].client.phone


def test_an_answer_does_not_depend_on_who_was_texted_before():
    alone, among = make_clients(5, seed=8), make_clients(5, seed=8)
    for other in among[:4]:
        other.answers(MORNING, "session")
    assert alone[4].answers(MORNING, "session") == among[4].answers(MORNING, "session")


@pytest.mark.parametrize("mix", [REALISTIC_MIX, TEST_MIX])
@pytest.mark.parametrize("count", [40, 400, 1000])
def test_kinds_come_in_their_shares(mix, count):
    assert sum(mix.values()) == pytest.approx(1)
    kinds = Counter(client.kind for client in make_clients(count, seed=1, mix=mix))
    assert kinds.total() == count
    for kind, share in mix.items():
        assert abs(kinds[kind] - share * count) <= 1


def test_languages_come_in_their_shares():
    clients = make_clients(200, seed=1, languages={"en": 0.5, "es": 0.3, "fr": 0.2})
    spoken = Counter(client.language for client in clients)
    assert spoken == {"en": 100, "es": 60, "fr": 40}


@pytest.mark.parametrize("mix", [{}, {"plateau": 0.0}, {"plateau": 2, "fast": -1}])
def test_a_mix_without_sense_is_refused(mix):
    with pytest.raises(ValueError, match="positive shares"):
        make_clients(3, seed=1, mix=mix)


def test_a_negative_count_is_refused():
    with pytest.raises(ValueError, match="count of 0 or more"):
        make_clients(-1, seed=1)


def test_shares_are_shuffled_over_the_list():
    drawn = allot(100, {"a": 0.5, "b": 0.5}, random.Random(1))
    assert drawn != sorted(drawn)


@pytest.mark.parametrize(("language", "least"), [("en", 200), ("es", 110), ("fr", 110)])
def test_each_language_has_enough_phrasings(language, least):
    assert len(phrasebook(language).phrasings()) >= least


def test_every_language_has_the_same_lists():
    sides = {"words.side.left.s", "words.side.right.s"}
    sides |= {f"words.side.{s}.{g}" for s in ("left", "right") for g in "mf"}
    names = [set(phrasebook(each).lists) - sides for each in ("en", "es", "fr")]
    assert names[0] == names[1] == names[2]


def test_surface_texts_are_far_more_than_phrasings(month):
    texts = [answer.text for answer in everything(month)]
    assert len(set(texts)) / len(texts) > 0.75


def test_numbers_are_valid_fictional_and_different():
    clients = make_clients(900, seed=2)
    phones = [client.phone for client in clients]
    assert len(set(phones)) == 900
    for phone in phones:
        assert phone[5:10] == "55501" and len(phone) == 12
        assert phonenumbers.is_valid_number(phonenumbers.parse(phone))


def test_numbers_come_from_many_area_codes_in_their_own_zone():
    clients = make_clients(300, seed=2)
    assert len({client.phone[2:5] for client in clients}) > 80
    for client in clients:
        assert client.zone == ZONE_OF_AREA_CODE[client.phone[2:5]]
        assert ZoneInfo(client.zone)


def test_area_codes_can_be_chosen_until_their_numbers_run_out():
    clients = make_clients(100, seed=2, area_codes=["303"])
    assert {client.zone for client in clients} == {"America/Denver"}
    with pytest.raises(ValueError, match="all 100 fictional numbers"):
        make_clients(101, seed=2, area_codes=["303"])
    with pytest.raises(ValueError, match="unknown area codes 555"):
        make_clients(1, seed=2, area_codes=["555"])


def test_about_seven_in_ten_texts_are_answered(month):
    # Published: 75.0 % at three texts a day (Arthrosc Sports Med Rehabil, n = 177).
    rate = sum(bool(sent.answers) for sent in month) / len(month)
    assert 0.62 <= rate <= 0.82


def test_half_the_answers_come_within_half_an_hour(month):
    # Published: half within 29 minutes (Singapore study of texts in arthritis).
    delays = [
        (sent.answers[0].at_utc - sent.at).total_seconds() / 60
        for sent in month
        if sent.answers
    ]
    assert min(delays) > 0
    assert 24 <= statistics.median(delays) <= 36
    assert 0.07 <= sum(delay > 360 for delay in delays) / len(delays) <= 0.13


def test_a_second_text_is_rare_and_follows_the_first(month):
    answered = [sent.answers for sent in month if sent.answers]
    twice = [answers for answers in answered if len(answers) == 2]
    assert 0 < len(twice) / len(answered) < 0.04
    assert all(first.at_utc < second.at_utc for first, second in twice)


def test_few_answers_leave_in_the_small_hours(month):
    sent = [(s.client.zone, a.at_utc) for s in month for a in s.answers]
    night = [at for zone, at in sent if at.astimezone(ZoneInfo(zone)).hour < 6]
    assert 0 < len(night) / len(sent) < 0.03


def test_texts_are_never_empty_nor_long(month, hard_month):
    for answer in everything(month) + everything(hard_month):
        assert 0 < len(answer.text) < 320
        assert answer.text.strip() == answer.text
        assert "{" not in answer.text and "None" not in answer.text


def test_a_reply_is_mostly_a_report_with_some_of_everything(hard_month):
    topics = Counter(answer.said.topic for answer in everything(hard_month))
    assert topics["report"] / topics.total() > 0.9
    for topic in ("question", "administrative", "opt_out", "warning", "chat"):
        assert 0 < topics[topic] / topics.total() < 0.04


def test_a_place_is_given_by_most_who_are_asked(month):
    reports = [a.said for a in everything(month) if a.said.topic == "report"]
    placed = sum(bool(said.area or said.left_area) for said in reports)
    assert 0.78 <= placed / len(reports) <= 0.92


def test_an_unknown_question_or_a_naive_time_is_refused():
    client = make_clients(1, seed=1)[0]
    with pytest.raises(ValueError, match="unknown question 'weather'"):
        client.answers(MORNING, "weather")
    with pytest.raises(ValueError, match="no time zone"):
        client.answers(datetime(2026, 3, 2), "session")  # noqa: DTZ001 - the bad input


def test_an_unknown_language_is_refused():
    with pytest.raises(ValueError, match="no phrasings in 'de'"):
        phrasebook("de")
