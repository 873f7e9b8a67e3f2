"""The stock words of consent, filled with a site's name and emergency number."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from functools import cache
from pathlib import Path

from clinic.models import Site

_FILE = Path(__file__).with_name("consent_wording.toml")


def stock(site: Site, language: str) -> str:
    """The words to read to a client; an unknown language reads as English."""
    words = _words().get(language, _words()["en"])
    return words.format(clinic=site.name, emergency=site.emergency_number)


def is_stock(wording: str, sites: Iterable[Site]) -> bool:
    """Whether nobody changed the words: they may be exchanged for another language."""
    plain = " ".join(wording.split())
    return not plain or any(
        plain == stock(site, language) for site in sites for language in _words()
    )


@cache
def _words() -> dict[str, str]:
    return tomllib.loads(_FILE.read_text(encoding="utf-8"))
