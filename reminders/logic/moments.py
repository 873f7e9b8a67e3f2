"""A moment in few plain words for a text: weekday and hour, on the reader's clock."""

from datetime import datetime

_DAYS = {
    "en": ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"),
    "es": ("lun.", "mar.", "mie.", "jue.", "vie.", "sab.", "dom."),
    "fr": ("lun.", "mar.", "mer.", "jeu.", "ven.", "sam.", "dim."),
}


def moment(local: datetime, *, language: str) -> str:
    """ "Mon 08:00" in the language; English where the language is not carried.

    `local` is the reader's own wall time.
    """
    days = _DAYS.get(language, _DAYS["en"])
    return f"{days[local.weekday()]} {local:%H:%M}"
