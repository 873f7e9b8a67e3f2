"""A moment for a page, as short as it can be without being doubtful."""

from datetime import datetime, timedelta, tzinfo

_WEEK = timedelta(days=6)


def when(at: datetime, *, zone: tzinfo, now: datetime) -> str:
    """ "12:30" today, "Tue 12:30" within a week, "Mar 3, 12:30" else.

    Local to `zone`, with the year when it is another one; both moments are aware.
    """
    local, today = at.astimezone(zone), now.astimezone(zone)
    if local.date() == today.date():
        return f"{local:%H:%M}"
    if abs(local.date() - today.date()) <= _WEEK:
        return f"{local:%a %H:%M}"
    return f"{day(at, zone=zone, now=now)}, {local:%H:%M}"


def day(at: datetime, *, zone: tzinfo, now: datetime) -> str:
    """ "Mar 3", with the year when it is another one."""
    local = at.astimezone(zone)
    year = "" if local.year == now.astimezone(zone).year else f", {local.year}"
    return f"{local:%b} {local.day}{year}"


def ago(at: datetime, now: datetime) -> str:
    """ "5 min ago", "3 h ago", "2 days ago"; "just now" under a minute."""
    minutes = int((now - at).total_seconds() // 60)
    if minutes < 1:
        return "just now"
    if minutes < 60:
        return f"{minutes} min ago"
    hours = minutes // 60
    return f"{hours} h ago" if hours < 48 else f"{hours // 24} days ago"
