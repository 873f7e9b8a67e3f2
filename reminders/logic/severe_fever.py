"""Whether a text about fever names rigors or confusion, which cannot wait a day.

Shaking chills or confusion with a fever are read as possible sepsis (common
practice); the words are looked for only where the reader found fever at all.
"""

import re

from reminders.logic.reply.normalize import fold

# en, es, fr; folded, so without accents. Plain chills are left to the same day.
_SEVERE = re.compile(
    r"\b(rigors?|shivering|shivers?|shaking|shakes|confus\w*|delirious|delirium"
    r"|tiritando|tiritona|temblando|temblores|confundid\w*|delirando"
    r"|grelott\w*|trembl\w*|delire)\b"
)


def is_severe(body: str) -> bool:
    """True when the text names shaking chills or confusion; linear, never raises."""
    return _SEVERE.search(fold(body).text) is not None
