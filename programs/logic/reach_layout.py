"""Where things sit on the reach chart: time across, the body from back to toes down.

All lengths are units of the picture's own view box.
"""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo

from programs.logic.body import AREAS

# "In the leg, level not said" can be anywhere below the hip.
LEG_FROM, LEG_TO = "thigh", "foot"
MOST_PAIN = 10
_DAY_STEPS = (1, 2, 4, 7, 14, 28, 56, 91, 182, 364)


@dataclass(frozen=True, slots=True)
class Layout:
    """The measures of one size of the chart."""

    width: int
    left: int
    right: int
    top: int
    row: float
    dot: float
    font: float
    body: tuple[int, int] = (0, 0)
    pain_height: int = 0
    gap: int = 0
    legend_line: int = 0
    tick_gap: int = 0

    @property
    def bottom(self) -> float:
        """The lower edge of the body rows."""
        return self.top + self.row * len(AREAS)

    @property
    def pain_top(self) -> float:
        """Where the pain panel begins: pain 10."""
        return self.bottom + self.gap

    @property
    def axis(self) -> float:
        """The lower edge of the pain panel, pain 0, where dates are written."""
        return self.pain_top + self.pain_height


LAYOUTS = {
    "full": Layout(
        width=720,
        left=156,
        right=704,
        top=16,
        row=34,
        dot=5.5,
        font=13,
        body=(100, 46),
        pain_height=84,
        gap=26,
        legend_line=19,
        tick_gap=58,
    ),
    "narrow": Layout(
        width=360,
        left=116,
        right=350,
        top=14,
        row=32,
        dot=5,
        font=12,
        body=(90, 23),
        pain_height=72,
        gap=24,
        legend_line=18,
        tick_gap=50,
    ),
    "small": Layout(width=180, left=46, right=176, top=5, row=7.7, dot=2.7, font=10),
}


@dataclass(frozen=True, slots=True)
class Frame:
    """A layout with its time axis: turns a report into a place on the picture."""

    layout: Layout
    start: datetime
    end: datetime
    zone: tzinfo

    def x(self, at: datetime) -> float:
        """Across, by time."""
        share = (at - self.start) / (self.end - self.start)
        return self.layout.left + share * (self.layout.right - self.layout.left)

    def y(self, area: str) -> float:
        """Down, the middle of the area's row."""
        return self.layout.top + self.layout.row * (AREAS.index(area) + 0.5)

    def pain_y(self, pain: float) -> float:
        """Down, on the pain panel; 10 at its top, nothing outside it."""
        share = min(max(pain, 0), MOST_PAIN) / MOST_PAIN
        return self.layout.axis - self.layout.pain_height * share

    def holds(self, at: datetime) -> bool:
        """Whether a moment lies on the time axis, both ends included."""
        return self.start <= at <= self.end

    def days(self) -> list[tuple[date, float]]:
        """Local midnights to label with their place, as many as have room."""
        first = self.start.astimezone(self.zone).date()
        last = self.end.astimezone(self.zone).date()
        step = self._step((last - first).days)
        found = []
        for count in range(0, (last - first).days + 1, step):
            day = first + timedelta(days=count)
            midnight = datetime.combine(day, time.min, tzinfo=self.zone)
            if self.holds(midnight):
                found.append((day, self.x(midnight)))
        return found

    def _step(self, days: int) -> int:
        room = (self.layout.right - self.layout.left) / self.layout.tick_gap
        wanted = max(1.0, days / room)
        return next((s for s in _DAY_STEPS if s >= wanted), _DAY_STEPS[-1])


def zone_rows(zone: tuple[str, ...]) -> tuple[int, int]:
    """The first row of a coarse zone and how many rows it has."""
    return AREAS.index(zone[0]), len(zone)
