"""The frame of every page: navigation that upper apps register, and who looks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.http import HttpRequest

from clinic import access, clock, on_call, scope
from clinic.models import Site, Staff


@dataclass(frozen=True, slots=True)
class Entry:
    """A navigation entry: its words, URL name and the operation it needs."""

    label: str
    url_name: str
    operation: str
    order: int


NAVIGATION: list[Entry] = []


def register(*entries: Entry) -> None:
    """Add navigation entries; called by each app's `ready()`."""
    NAVIGATION.extend(entry for entry in entries if entry not in NAVIGATION)
    NAVIGATION.sort(key=lambda entry: entry.order)


def frame(request: HttpRequest) -> dict[str, Any]:
    """Template context of the frame (a context processor)."""
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return {"navigation": [], "can": frozenset(), "demo": settings.DEMO}
    # The request that signs a person in began without a scope, and draws words too.
    with scope.within(user.organization_id):
        can = access.operations_of(user)
    return {
        "navigation": [entry for entry in NAVIGATION if entry.operation in can],
        "can": can,
        "demo": settings.DEMO,
        "now": clock.now(),
        "unwatched": lambda: _unwatched(user),
    }


def _unwatched(user: Staff) -> list[Site]:
    """Sites of the person with clients and nobody to page: said on every page."""
    with scope.within(user.organization_id):
        return list(on_call.unwatched(access.sites(user, "site.view")))
