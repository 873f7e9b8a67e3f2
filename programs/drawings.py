"""An exercise's line drawing on a page, named in the reader's language."""

from __future__ import annotations

import re

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from programs import library

_SPOKEN = re.compile(r"<title>.*?</title>\s*(?:<desc>.*?</desc>)?", re.DOTALL)


def inline(code: str, language: str) -> SafeString:
    """The drawing as SVG to stand in a page; raises LibraryError for unknown codes.

    In English the drawing's own title and description are read aloud; in another
    language the exercise's name and what it does stand in their place.
    """
    svg = library.drawing(code)
    if language != "en":
        text = library.load()[code].text(language)
        title, description = escape(text.name), escape(text.purpose)
        spoken = f"<title>{title}</title><desc>{description}</desc>"
        svg = _SPOKEN.sub(lambda _: spoken, svg, count=1)
    # Our own files, read by a code of the library: nothing typed reaches this.
    return mark_safe(svg)  # noqa: S308
