"""Finding clients among those a person may see.

Names rest encrypted, so they are compared in memory; past some thousands the list is
newest first and a search asks for a site, because opening every name takes seconds.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from clinic.models import Client

MOST_IN_MEMORY = 5000
PAGE = 50


@dataclass(frozen=True, slots=True)
class Found:
    """One page of clients, how many there are, and whether names were compared."""

    clients: list[Client]
    total: int
    page: int
    pages: int
    by_name: bool


def find(rows: QuerySet[Client], *, name: str = "", page: int = 1) -> Found:
    """The clients whose name holds every word of `name`, accents aside, by name."""
    total = rows.count()
    if total > MOST_IN_MEMORY:
        return _page(rows.order_by("-id"), total, page, by_name=False)
    matching = _matching(list(rows.only("id", "name")), name)
    return _page(matching, len(matching), page, by_name=True)


def _matching(rows: list[Client], wanted: str) -> list[Client]:
    words = folded(wanted).split()
    named = [(folded(row.name), row.id, row) for row in rows]
    return [row for name, _, row in sorted(named) if all(w in name for w in words)]


def _page(rows: Any, total: int, page: int, *, by_name: bool) -> Found:
    pages = max(1, -(-total // PAGE))
    page = min(max(page, 1), pages)
    shown = [row.pk for row in rows[(page - 1) * PAGE : page * PAGE]]
    full = Client.objects.select_related("site", "clinician").in_bulk(shown)
    return Found([full[pk] for pk in shown], total, page, pages, by_name)


def folded(text: str) -> str:
    """Lower case without accents, so that Zoe finds Zoë."""
    split = unicodedata.normalize("NFD", text.casefold())
    return "".join(sign for sign in split if not unicodedata.combining(sign))
