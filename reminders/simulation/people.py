"""Invented people: names, languages, and numbers that belong to nobody.

Numbers are US and Canadian area codes with 555-0100 to 555-0199, the range kept
for fiction, so that no demo can ever text a person.
"""

import random
import tomllib
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

_DATA: Final = tomllib.loads(
    Path(__file__).with_name("people.toml").read_text(encoding="utf-8")
)
ZONE_OF_AREA_CODE: Final[dict[str, str]] = {
    code: zone for zone, codes in _DATA["area_codes"].items() for code in codes.split()
}
FIRST_NAMES: Final = {to: text.split() for to, text in _DATA["first_names"].items()}
LAST_NAMES: Final = {to: text.split() for to, text in _DATA["last_names"].items()}

_FIRST_FICTIONAL: Final = 100
_NUMBERS_A_CODE: Final = 100


def invented_name(language: str, rng: random.Random) -> tuple[str, str]:
    """Return a first and a last name; any likeness to a person is chance."""
    return rng.choice(FIRST_NAMES[language]), rng.choice(LAST_NAMES[language])


def fictional_numbers(
    rng: random.Random, area_codes: Sequence[str] | None = None
) -> Iterator[tuple[str, str]]:
    """Yield different fictional numbers (E.164), each with its time zone's name.

    `area_codes` limits where they are from. Raises ValueError for an unknown code,
    and once every number of the range has been given out.
    """
    codes = tuple(area_codes or ZONE_OF_AREA_CODE)
    unknown = [code for code in codes if code not in ZONE_OF_AREA_CODE]
    if unknown:
        raise ValueError(f"unknown area codes {', '.join(unknown)}")
    for place in rng.sample(range(_all(codes)), k=_all(codes)):
        code = codes[place // _NUMBERS_A_CODE]
        line = _FIRST_FICTIONAL + place % _NUMBERS_A_CODE
        yield f"+1{code}5550{line}", ZONE_OF_AREA_CODE[code]
    raise ValueError(
        f"all {_all(codes)} fictional numbers are given out: allow more area codes"
    )


def _all(codes: Sequence[str]) -> int:
    return len(codes) * _NUMBERS_A_CODE
