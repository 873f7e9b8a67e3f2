"""The dose of an exercise: what is allowed, how it is said, which of two is less.

Bounds are common practice for home exercises in low back pain: a hold of 5-60 s is
usual and 300 s is the longest anyone prescribes, walking and lying go by minutes.
"""

from dataclasses import dataclass, fields, replace
from typing import Any

HOLD, REPETITION, DURATION = "hold", "repetition", "duration"
KINDS = (HOLD, REPETITION, DURATION)
LANGUAGES = ("en", "es", "fr")

# Words keep to the 7-bit text alphabet (3GPP TS 23.038): letters outside it, such as
# a, i, o, u with an acute accent, would more than halve what one part holds.
_SETS = {"en": "sets", "es": "series", "fr": "séries"}
_MINUTES = {
    "en": ("minute", "minutes"),
    "es": ("minuto", "minutos"),
    "fr": ("minute", "minutes"),
}
_SECONDS = {
    "en": ("second", "seconds"),
    "es": ("segundo", "segundos"),
    "fr": ("seconde", "secondes"),
}
_TIMES = {"en": ("time", "times"), "es": ("vez", "veces"), "fr": ("fois", "fois")}
_HOLD = {"en": "hold", "es": "mantenga", "fr": "tenez"}
_REPEAT = {"en": "repeat", "es": "repita", "fr": "répétez"}
_A_DAY = {"en": "a day", "es": "a diario", "fr": "par jour"}

# field -> (smallest, largest, name in a message, unit in a message)
_LIMITS = {
    "hold_seconds": (1, 300, "Hold", " seconds"),
    "repetitions": (1, 50, "Repetitions", ""),
    "sets": (1, 10, "Sets", ""),
    "duration_minutes": (1, 120, "Duration", " minutes"),
    "times_per_day": (1, 12, "Times a day", ""),
}
_REQUIRED = {
    HOLD: ("hold_seconds", "repetitions", "sets"),
    REPETITION: ("repetitions", "sets"),
    DURATION: ("duration_minutes",),
}
_ALLOWED = {
    HOLD: _REQUIRED[HOLD],
    REPETITION: ("hold_seconds", *_REQUIRED[REPETITION]),
    DURATION: _REQUIRED[DURATION],
}


class DoseError(ValueError):
    """A dose nobody should be sent: `field` is at fault, `message` says what to do."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field
        self.message = message


@dataclass(frozen=True, slots=True)
class Dose:
    """One exercise's dose; a field that does not apply to its kind is None.

    `repetitions` and `sets` are per session, `times_per_day` is sessions a day.
    """

    hold_seconds: int | None = None
    repetitions: int | None = None
    sets: int | None = None
    duration_minutes: int | None = None
    times_per_day: int = 1


@dataclass(frozen=True, slots=True)
class Load:
    """What a day asks for: movements, seconds held in them, and timed minutes."""

    repetitions: int
    hold_seconds: int
    minutes: int


FIELDS = tuple(item.name for item in fields(Dose))


def limits(field: str) -> tuple[int, int]:
    """Return the smallest and largest allowed value of a dose field."""
    smallest, largest, _, _ = _LIMITS[field]
    return smallest, largest


def check_dose(
    kind: str,
    *,
    hold_seconds: int | None = None,
    repetitions: int | None = None,
    sets: int | None = None,
    duration_minutes: int | None = None,
    times_per_day: int = 1,
) -> Dose:
    """Return the dose if an exercise of this kind may have it.

    `sets` left out means one. Raises `DoseError` naming the first field at fault:
    missing, not a whole number, out of bounds, or not used by this kind.
    """
    if kind not in KINDS:
        raise DoseError("kind", f"Kind must be one of {', '.join(KINDS)}.")
    if sets is None and kind != DURATION:
        sets = 1
    dose = Dose(hold_seconds, repetitions, sets, duration_minutes, times_per_day)
    for field in FIELDS:
        _check_field(kind, field, getattr(dose, field))
    return dose


def _check_field(kind: str, field: str, value: object) -> None:
    name = _LIMITS[field][2]
    used = field == "times_per_day" or field in _ALLOWED[kind]
    if value is None:
        if field in _REQUIRED[kind] or field == "times_per_day":
            raise DoseError(field, f"{name} is missing.")
    elif not used:
        raise DoseError(field, f"{name} does not apply here; leave it empty.")
    else:
        _check_number(field, value)


def _check_number(field: str, value: object) -> None:
    smallest, largest, name, unit = _LIMITS[field]
    # bool is an int in Python: True would pass as a hold of one second
    if not isinstance(value, int) or isinstance(value, bool):
        raise DoseError(field, f"{name} must be a whole number.")
    if not smallest <= value <= largest:
        bounds = f"between {smallest} and {largest}{unit}"
        raise DoseError(field, f"{name} must be {bounds}; {value} was given.")


def difference(old: Dose, new: Dose) -> dict[str, tuple[int | None, int | None]]:
    """Return each changed field with its value before and after."""
    pairs = {name: (getattr(old, name), getattr(new, name)) for name in FIELDS}
    return {name: pair for name, pair in pairs.items() if pair[0] != pair[1]}


def is_raise(old: Dose, new: Dose) -> bool:
    """Return whether any field goes up; one field down does not pay for it.

    Only a clinician may raise, so a mixed change counts as a raise. A field that
    appears (a hold where there was none) is up.
    """
    return any((b or 0) > (a or 0) for a, b in difference(old, new).values())


def is_lower(old: Dose, new: Dose) -> bool:
    """Return whether something goes down and nothing goes up."""
    return bool(difference(old, new)) and not is_raise(old, new)


def safer(first: Dose, second: Dose) -> Dose:
    """Return the dose with the smaller value of each field; no hold is below any.

    Raises `DoseError` for a timed and a counted dose, which cannot be compared.
    """
    if (first.duration_minutes is None) != (second.duration_minutes is None):
        message = "A timed and a counted dose cannot be compared."
        raise DoseError("duration_minutes", message)
    values: dict[str, Any] = {
        f: _smaller(getattr(first, f), getattr(second, f)) for f in FIELDS
    }
    return replace(first, **values)


def _smaller(first: int | None, second: int | None) -> int | None:
    return first if (first or 0) <= (second or 0) else second


def halved(dose: Dose, field: str | None = None) -> Dose:
    """Return the dose with one field halved, rounded up, never under 1.

    Without `field`: the minutes, else the hold, else the repetitions. Halving is
    the usual first step down when leg pain rises (common practice).
    """
    name = field or next(
        f
        for f in ("duration_minutes", "hold_seconds", "repetitions", "times_per_day")
        if getattr(dose, f) is not None
    )
    value = getattr(dose, name)
    return dose if value is None else replace(dose, **{name: (value + 1) // 2})


def total_load(dose: Dose) -> Load:
    """Return what the dose asks for in one day."""
    a_day = (dose.repetitions or 0) * (dose.sets or 1) * dose.times_per_day
    minutes = (dose.duration_minutes or 0) * dose.times_per_day
    return Load(a_day, a_day * (dose.hold_seconds or 0), minutes)


def describe(dose: Dose, language: str = "en", *, form: str = "short") -> str:
    """Return the dose in words: "30 s x3" (short) or a full phrase (long).

    Short is one session, for a text; long also says how often a day, for pages and
    handouts. An unknown language reads as English. Raises ValueError for a form
    that is neither "short" nor "long".
    """
    language = language if language in LANGUAGES else "en"
    if form == "short":
        return _short(dose, language)
    if form == "long":
        return _long(dose, language)
    raise ValueError('Form must be "short" or "long".')


def _short(dose: Dose, language: str) -> str:
    if dose.duration_minutes is not None:
        return f"{dose.duration_minutes} min"
    count = dose.repetitions or 1
    if dose.hold_seconds is not None:
        once = f"{dose.hold_seconds} s x{count}"
    else:
        once = f"{count}x"
    sets = dose.sets or 1
    return once if sets == 1 else f"{once}, {sets} {_SETS[language]}"


def _long(dose: Dose, language: str) -> str:
    often = f"{_count(dose.times_per_day, _TIMES, language)} {_A_DAY[language]}"
    phrase = f"{', '.join(_session(dose, language))}; {often}"
    return phrase[0].upper() + phrase[1:]


def _session(dose: Dose, language: str) -> list[str]:
    if dose.duration_minutes is not None:
        return [_count(dose.duration_minutes, _MINUTES, language)]
    parts = []
    if dose.hold_seconds is not None:
        held = _count(dose.hold_seconds, _SECONDS, language)
        parts.append(f"{_HOLD[language]} {held}")
    times = _count(dose.repetitions or 1, _TIMES, language)
    parts.append(f"{_REPEAT[language]} {times}")
    if (dose.sets or 1) > 1:
        parts.append(f"{dose.sets} {_SETS[language]}")
    return parts


def _count(number: int, words: dict[str, tuple[str, str]], language: str) -> str:
    one, many = words[language]
    return f"{number} {one if number == 1 else many}"
