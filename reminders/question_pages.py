"""The client's own page: one measure, answered once, without a sign-in.

It shows the questions, the clinic's short name and the emergency words; no name, no
score, nothing that was answered before. Own activities are the questions of their
measure, so they are shown; their earlier ratings are not.
"""

from __future__ import annotations

import tomllib
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from clinic import clock, doors, scope
from clinic.errors import BadInput, Conflict
from clinic.models import Site
from programs import questions
from programs.logic.outcomes import psfs, rmdq
from programs.models import OutcomeAsk
from programs.models.outcomes import ANSWERED
from reminders import asking, links, outcome_form, throttling

_WORDS = Path(__file__).with_name("question_words.toml")


@csrf_exempt  # the address is the key, there is no session a foreign page could ride
@require_http_methods(["GET", "HEAD", "POST"])
@doors.public("the link of a text opens it; it names no one and answers once")
def page(request: HttpRequest, token: str) -> HttpResponse:
    """Show the questions, or keep the answers and close."""
    ask = questions.by_token(token)
    if not throttling.may_open(request, ask):
        return _told(request, "busy", ask, 429)
    if ask is None:
        return _told(request, "unknown", None, 404)
    now = clock.now()
    with scope.within(ask.organization_id):
        if not questions.is_open(ask, now) or not links.reaches_them(ask):
            return _closed(request, ask)
        if request.method == "POST":
            return _answered(request, ask, now)
        return _asked(request, ask)


def _answered(request: HttpRequest, ask: OutcomeAsk, now: datetime) -> HttpResponse:
    names = _activities(ask)
    answers = outcome_form.answered(ask.measure, request.POST, names)
    try:
        asking.answered(ask, answers, now=now)
    except BadInput:
        return _asked(request, ask, refused=True)
    except Conflict:
        ask.refresh_from_db()
        return _closed(request, ask)
    return _told(request, "thanks", ask, 200)


def _asked(
    request: HttpRequest, ask: OutcomeAsk, *, refused: bool = False
) -> HttpResponse:
    language = ask.client.language
    given = request.POST if refused else None
    context = {
        "questions": outcome_form.asked(ask.measure, language, _activities(ask), given),
        "lead": psfs.ASK[language] if ask.measure == "psfs" else "",
        "none": rmdq.NONE if ask.measure == "rmdq" else "",
        "none_chosen": bool(given and given.get("none") == "on"),
        "refused": refused,
    }
    status = 400 if refused else 200
    return _page(request, "questions", ask, context, status)


def _closed(request: HttpRequest, ask: OutcomeAsk) -> HttpResponse:
    return _told(request, "thanks" if ask.closed_why == ANSWERED else "late", ask, 410)


def _told(
    request: HttpRequest, message: str, ask: OutcomeAsk | None, status: int
) -> HttpResponse:
    """One message; in every language when the token is not known."""
    return _page(request, "told", ask, {"message": message}, status)


def _page(
    request: HttpRequest,
    template: str,
    ask: OutcomeAsk | None,
    context: dict[str, Any],
    status: int,
) -> HttpResponse:
    site = ask.client.site if ask else None
    languages = [ask.client.language] if ask else list(words())
    said = [_said(language, site, context.get("message")) for language in languages]
    context |= {"said": said[0], "every": said, "language": languages[0]}
    response = render(request, f"reminders/{template}.html", context, status=status)
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex, nofollow"
    return response


@cache
def words() -> dict[str, dict[str, str]]:
    """The page's words by language."""
    return tomllib.loads(_WORDS.read_text(encoding="utf-8"))


def _said(language: str, site: Site | None, message: str | None) -> dict[str, str]:
    """The words of one language with the site's numbers in them."""
    values = {
        "clinic": site.short_name if site else "",
        "emergency": site.emergency_number if site else "",
        "phone": site.call_back_number if site else "",
    }
    said = {name: body.format_map(values) for name, body in words()[language].items()}
    title = {"thanks": "thanks_title", "late": "closed_title"}.get(message or "")
    return said | {
        "language": language,
        "message": said[message] if message else "",
        "heading": said[title or "title"],
    }


def _activities(ask: OutcomeAsk) -> list[str]:
    return questions.activities(ask.client) if ask.measure == "psfs" else []
