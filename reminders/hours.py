"""A site's hours as the value the timing rules read."""

from __future__ import annotations

from datetime import time
from zoneinfo import ZoneInfo

from clinic.models import Site
from reminders.logic.timing import SiteHours


def of(site: Site) -> SiteHours:
    """Opening times by weekday and closed days of the site."""
    weekly = {
        int(day): [(time.fromisoformat(a), time.fromisoformat(b)) for a, b in spans]
        for day, spans in site.hours.items()
    }
    closed = frozenset(site.closures.values_list("on", flat=True))
    return SiteHours(ZoneInfo(site.time_zone), weekly, closed)
