"""What is measured on a split: exact shares by field, and how signs are met.

A figure counts rows: `hits` of `total`. Where less is better (`most`), hits are the
mistakes. Targets are the ones the reader is held to; None where there is none.
"""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

from reminders.logic.reply import Reply, parse_reply
from tests.bench.replies.rows import Row, rows
from tests.bench.replies.score import alarmed, asks, differences, is_set, wanted

LANGUAGES = ("en", "es", "fr")
Reader = Callable[..., Reply]


@dataclass(frozen=True, slots=True)
class Read:
    """A row, how it was read, and the names of the fields read wrongly."""

    row: Row
    reply: Reply
    wrong: frozenset[str]


@dataclass(frozen=True, slots=True)
class Figure:
    """So many of so many rows; `most` says that less is better."""

    hits: int
    total: int
    most: bool = False

    @property
    def percent(self) -> float | None:
        """None of no rows."""
        return 100 * self.hits / self.total if self.total else None

    @property
    def interval(self) -> tuple[float, float]:
        """Wilson's 95 % interval in percent (Wilson 1927)."""
        n, z = self.total, 1.959964
        if not n:
            return 0.0, 100.0
        share = self.hits / n
        middle = (share + z * z / (2 * n)) / (1 + z * z / n)
        half = z * sqrt(share * (1 - share) / n + z * z / (4 * n * n)) / (1 + z * z / n)
        return 100 * max(0.0, middle - half), 100 * min(1.0, middle + half)

    def meets(self, target: float) -> bool:
        """Whether the share is as good as a target in percent."""
        if self.percent is None:
            return True
        return self.percent <= target if self.most else self.percent >= target


# Name in the table -> fields that must all be right, target in percent.
BY_FIELD: Mapping[str, tuple[tuple[str, ...], float | None]] = {
    "keyword": (("keyword",), 99.5),
    "stop inside a report": (("stop_inside",), None),
    "completion": (("completion",), 98),
    "pain": (("pain",), 99),
    "side": (("side",), 98),
    "areas with state": (("areas",), 95),
    "shift": (("shift",), 97),
    "needs a person": (("needs_human",), 93),
    "overall": (("overall",), None),
    "sensation": (("sensation",), None),
    "doses": (("hold_seconds", "repetitions", "sets"), None),
    "ask back": (("ask_back",), None),
}
ALL_FIELDS = ("all fields", 85.0)
# Name -> target by language.
SIGNS: Mapping[str, Mapping[str, float] | None] = {
    "warn: every kind named": {"en": 98, "es": 95, "fr": 95},
    "warn: exactly those kinds": None,
    "warn: alarm or ask": dict.fromkeys(("all", *LANGUAGES), 99.5),
    "near: false alarms": dict.fromkeys(("all", *LANGUAGES), 2.0),
    "near: a person for nothing": dict.fromkeys(("all", *LANGUAGES), 25.0),
    "plain: false alarms": None,
    "any class: a person for nothing": None,
    "ask: met with silence": dict.fromkeys(("all", *LANGUAGES), 5.0),
    "ask: met with an alarm": None,
}


def target(name: str, language: str) -> float | None:
    """The share a figure is held to, in percent."""
    if name == ALL_FIELDS[0]:
        return ALL_FIELDS[1]
    if name in BY_FIELD:
        return BY_FIELD[name][1]
    return (SIGNS.get(name) or {}).get(language)


def read_split(split: str, reader: Reader = parse_reply) -> list[Read]:
    """Every row of a split, read."""
    out = []
    for row in rows(split):
        reply = reader(row.text, language=row.language, asked=row.asked)
        out.append(Read(row, reply, frozenset(differences(row, reply))))
    return out


def of_language(found: Iterable[Read], language: str) -> list[Read]:
    """Those of one language, or of all."""
    return [each for each in found if language in ("all", each.row.language)]


def figures(found: Sequence[Read]) -> dict[str, Figure]:
    """Every figure of these rows by its name, in the order of the table."""
    out = {
        name: _share(found, _right_in(names)) for name, (names, _) in BY_FIELD.items()
    }
    out[ALL_FIELDS[0]] = _share(found, lambda each: not each.wrong)
    return out | _signs(found)


def where_set(found: Sequence[Read]) -> dict[str, Figure]:
    """The same by field, only where the row or the reader says anything of it.

    Most fields of most replies are empty, and an empty field is easily right.
    """
    out = {}
    for name, (names, _) in BY_FIELD.items():
        about = [each for each in found if any(_touched(each, n) for n in names)]
        out[name] = _share(about, _right_in(names))
    return out


def _right_in(names: Collection[str]) -> Callable[[Read], bool]:
    return lambda each: each.wrong.isdisjoint(names)


def _touched(each: Read, name: str) -> bool:
    said = is_set(name, wanted(each.row, name))
    return said or is_set(name, getattr(each.reply, name))


def _share(
    found: Iterable[Read], right: Callable[[Read], bool], *, most: bool = False
) -> Figure:
    judged = [right(each) for each in found]
    return Figure(sum(judged), len(judged), most)


def _signs(found: Sequence[Read]) -> dict[str, Figure]:
    warn, near, plain, ask = (
        [each for each in found if each.row.kind == kind]
        for kind in ("warn", "near", "plain", "ask")
    )
    shares = (
        _share(warn, _names_every_kind),
        _share(warn, lambda each: "warnings" not in each.wrong),
        _share(warn, lambda each: alarmed(each.reply) or asks(each.reply)),
        _share(near, lambda each: alarmed(each.reply), most=True),
        _share(filter(_wants_nobody, near), _troubles_somebody, most=True),
        _share(plain, lambda each: alarmed(each.reply), most=True),
        _share(filter(_wants_nobody, found), _troubles_somebody, most=True),
        _share(ask, _is_silent, most=True),
        _share(ask, lambda each: alarmed(each.reply), most=True),
    )
    return dict(zip(SIGNS, shares, strict=True))


def _names_every_kind(each: Read) -> bool:
    return set(each.row.expect.get("warnings", ())) <= each.reply.warnings


def _wants_nobody(each: Read) -> bool:
    expect = each.row.expect
    return not expect.get("needs_human") and not expect.get("ask_back")


def _troubles_somebody(each: Read) -> bool:
    return each.reply.needs_human or each.reply.ask_back is not None


def _is_silent(each: Read) -> bool:
    return not alarmed(each.reply) and each.reply.ask_back is None
