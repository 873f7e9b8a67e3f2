"""The words of a mail to a person on call: what to do, and nothing about anybody.

Mail rests unencrypted on servers and lock screens, so it carries the site and a link
that opens after sign-in: no client, no number, no word of health.
"""

from dataclasses import dataclass
from typing import Final

_FIRST: Final = "Plumbline: an alert needs you at {site}"
_NEXT: Final = "Plumbline: an alert at {site} is still open, you are next on call"
_BODY: Final = """{subject}.

Sign in, read it and acknowledge it here:
{url}

{then}
This mail says nothing about the client on purpose. Do not answer it: nobody reads
answers.
"""
_THEN: Final = """Until somebody acknowledges it, the next person on call is paged
every {minutes} minutes.
"""


@dataclass(frozen=True, slots=True)
class StaffMailText:
    """Subject and body, plain text."""

    subject: str
    body: str


def page_mail(
    *, site: str, url: str, minutes: int | None, again: bool
) -> StaffMailText:
    """The mail of a page; `again` for everyone after the first.

    `minutes` until the next person is paged; None when nobody else is.
    """
    line = " ".join((_NEXT if again else _FIRST).format(site=site).split())
    then = _THEN.format(minutes=minutes) if minutes else ""
    return StaffMailText(line, _BODY.format(subject=line, url=url, then=then))
