"""Synthetic clients whose truth is known: courses, reports, and when things turned.

Courses are those of the simulation (`reminders.simulation.courses`); here each is
reported in plain values, three times a day, at known rates of reply, of places left
out or one zone wrong, and of noise. One kind is added: a back that hurts more while
the leg clears, which must alarm nobody.
"""

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from programs.logic.reports import SymptomReport
from reminders.simulation import courses
from reminders.simulation.courses import Course, draw_course
from reminders.simulation.starting import area_in_zone

BACK_UP_LEG_IN = "back_up_leg_in"
KINDS = (*courses.KINDS, BACK_UP_LEG_IN)
STABLE = (
    courses.FAST_IMPROVER,
    courses.SLOW_IMPROVER,
    courses.PLATEAU,
    BACK_UP_LEG_IN,
)
DAYS = 28
LAST_DAY_OF_SILENT = 10
ZONE = ZoneInfo("America/New_York")
FIRST_DAY = date(2026, 3, 2)  # a week before the clocks change
# Texts are spread evenly over the waking window.
FIRST_TEXT, LAST_TEXT = 8.0, 20.8
FOUND_AT = timedelta(hours=7)
# Half of the answers within 29 minutes, one in ten after 6 hours; one in a hundred
# comes twice.
_MEDIAN_MINUTES, _SIGMA, _TWICE = 29.0, 1.965, 0.01
_FATIGUE = 0.02


@dataclass(frozen=True, slots=True)
class World:
    """How clients answer; the default is the reference cohort.

    `texts` is how many a day (at least 2), `readiness` the mean log-odds of a reply
    on day 0 (1.3 gives 71 % over 28 days), `noise` widens the good and bad days (1.19
    brings the spread within a person from 1.06 to 1.2), `misplaced` is the share of
    places one zone off, `words` lets clients add better or worse and that symptoms
    move, `shuffled` hands reports over late, in any order and twice.
    """

    name: str = "3 texts a day, 71 % answered"
    readiness: float = 1.3
    texts: int = 3
    noise: float = 1.0
    misplaced: float = 0.1
    words: bool = False
    shuffled: bool = False


@dataclass(frozen=True, slots=True)
class Client:
    """One client: what is true, what was found at the start, and what was reported.

    `onset_at` is the first moment of the day on which the course turned; clients who
    never turn have a drawn one, for what the same window finds by chance.
    """

    kind: str
    course: Course
    start: SymptomReport
    since: datetime
    onset_at: datetime
    due: tuple[datetime, ...]
    reports: tuple[SymptomReport, ...]

    @property
    def end(self) -> datetime:
        """The end of the last day looked at."""
        return midnight(DAYS)

    def truly_farther(self, at: datetime) -> bool:
        """Say whether symptoms reached beyond the start on this day or the last."""
        day = (at.astimezone(ZONE).date() - FIRST_DAY).days
        now = max(self.course.zone(day), self.course.zone(day - 1))
        return now > self.course.zone(0)


def midnight(day: int) -> datetime:
    """Return the first moment of a day of the program, in UTC."""
    return _at(day, timedelta())


def _at(day: int, hour: timedelta) -> datetime:
    on = FIRST_DAY + timedelta(days=day)
    wall = datetime(on.year, on.month, on.day, tzinfo=ZONE) + hour
    return wall.astimezone(UTC)


def _hours(texts: int) -> list[timedelta]:
    apart = (LAST_TEXT - FIRST_TEXT) / (texts - 1)
    return [timedelta(hours=FIRST_TEXT + apart * place) for place in range(texts)]


def cohort(
    kind: str, count: int, *, seed: int, world: World | None = None
) -> Iterator[Client]:
    """Yield `count` clients of a kind, the same for the same arguments."""
    world = world or World()
    for number in range(count):
        yield _client(kind, random.Random(f"cohort/{seed}/{kind}/{number}"), world)


def _client(kind: str, rng: random.Random, world: World) -> Client:
    course = _course(kind, rng, world.noise)
    side = rng.choice(("left", "right"))
    onset = course.onset_day if course.onset_day is not None else rng.randint(7, 18)
    silent = kind == courses.NON_RESPONDER
    readiness = -2.5 if silent else rng.gauss(world.readiness, 0.8)
    teller = _Teller(kind, course, side, world, rng)
    due, reports = [], []
    for day in range(DAYS):
        for hour in _hours(world.texts):
            asked = _at(day, hour)
            due.append(asked)
            chance = 1 / (1 + math.exp(_FATIGUE * day - readiness))
            if silent and day > LAST_DAY_OF_SILENT:
                chance = 0.0
            if rng.random() < chance:
                reports += teller.reports(day, asked)
    return Client(
        kind=kind,
        course=course,
        start=teller.start(),
        since=_at(0, FOUND_AT),
        onset_at=midnight(onset),
        due=tuple(due),
        reports=_handed_over(reports, rng, world),
    )


def _handed_over(
    reports: list[SymptomReport], rng: random.Random, world: World
) -> tuple[SymptomReport, ...]:
    end = midnight(DAYS)
    return tuple(sorted((r for r in reports if r.at < end), key=lambda r: r.at))


def _course(kind: str, rng: random.Random, noise: float) -> Course:
    if kind == BACK_UP_LEG_IN:
        course = draw_course(courses.FAST_IMPROVER, rng)
        course = replace(
            course,
            kind=kind,
            zone_start=rng.choice((2, 3, 3, 4)),
            half_life_days=rng.uniform(5, 10),
        )
    else:
        course = draw_course(kind, rng)
    return replace(course, day_effects=tuple(noise * e for e in course.day_effects))


def _states(area: str | None, by_area: dict[str, float]) -> dict[str, str]:
    """Name the places of a report; one that is rated 0 is gone, as texts are read."""
    if by_area:
        return {name: "present" if at else "gone" for name, at in by_area.items()}
    return {area: "present"} if area else {}


@dataclass(slots=True)
class _Teller:
    """Says what a client would say of one moment."""

    kind: str
    course: Course
    side: str
    world: World
    rng: random.Random

    def start(self) -> SymptomReport:
        """The starting point as the clinician finds it on the first day."""
        area = area_in_zone(self.course.zone(0), self.rng)
        return SymptomReport(
            _at(0, FOUND_AT),
            pain=round(self.course.level(0)),
            areas={area: "present"},
            side=None if area == "back" else self.side,
        )

    def reports(self, day: int, asked: datetime) -> list[SymptomReport]:
        """One report some while after the question; rarely a second one."""
        wait = self.rng.lognormvariate(math.log(_MEDIAN_MINUTES), _SIGMA)
        at = asked + timedelta(minutes=min(36 * 60.0, max(0.3, wait)))
        morning = at.astimezone(ZONE).hour < 11
        said = [self._report(day, at, morning)]
        if self.rng.random() < _TWICE:
            later = at + timedelta(minutes=self.rng.uniform(0.5, 5))
            said.append(replace(said[0], at=later))
        return said

    def _report(self, day: int, at: datetime, morning: bool) -> SymptomReport:
        area = self._area(day) if self.rng.random() < 0.85 else None
        pain, by_area = self._ratings(day, area, morning)
        named = area not in {None, "back"} and self.rng.random() < 0.6
        return SymptomReport(
            at=at,
            pain=pain,
            areas=_states(area, by_area),
            side=self.side if named else None,
            completion="done" if self.rng.random() < 0.75 else "skipped",
            overall=self._overall(day),
            shift=self._shift(day),
            pain_by_area=by_area,
        )

    def _area(self, day: int) -> str:
        zone = self.course.zone(day)
        if self.rng.random() < self.world.misplaced:
            zone = min(4, max(0, zone + self.rng.choice((-1, 1))))
        if zone >= 2 and self.rng.random() < 0.15:
            return "leg"
        return area_in_zone(zone, self.rng)

    def _ratings(
        self, day: int, area: str | None, morning: bool
    ) -> tuple[float, dict[str, float]]:
        leg = self.course.rating(day, self.rng, morning=morning)
        if self.kind != BACK_UP_LEG_IN:
            return leg, {}
        # the back climbs by 3 points in a week while the leg clears, then eases
        rise = 3.0 * min(1.0, day / 6) * (1.0 if day < 16 else 0.9 ** (day - 16))
        calm = self.course.day_effects[day] + self.rng.gauss(0, 0.7)
        back = round(min(10.0, max(0.0, self.course.pain_start - 2 + rise + calm)))
        if area in {None, "leg", "back"} or self.rng.random() < 0.5:
            return max(leg, back), {}
        return max(leg, back), {"back": float(back), str(area): float(leg)}

    def _overall(self, day: int) -> str | None:
        if not self.world.words or self.rng.random() < 0.4:
            return None
        moved = self.course.zone(day) - self.course.zone(max(0, day - 2))
        drift = self.course.felt(day) - self.course.felt(max(0, day - 1))
        if moved:
            return "worse" if moved > 0 else "better"
        return "worse" if drift >= 1.5 else "better" if drift <= -1.5 else "same"

    def _shift(self, day: int) -> str | None:
        moved = self.course.zone(day) - self.course.zone(max(0, day - 1))
        if not self.world.words or not moved or self.rng.random() < 0.4:
            return None
        return "down_leg" if moved > 0 else "toward_back"
