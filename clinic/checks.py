"""Start-up checks: a misconfiguration is named with an id and what to do."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, Warning, register
from django.urls import URLPattern, URLResolver, get_resolver

_OTHERS = ("allauth", "django", "drf_spectacular", "rest_framework")


@register(Tags.security)
def gateway_is_set(app_configs: Any, **_: Any) -> list[CheckMessage]:
    """The gateway is known and has what it needs."""
    if settings.SMS_GATEWAY not in ("phones", "console", "twilio"):
        return [_error("E001", "SMS_GATEWAY is unknown.", "Use console or twilio.")]
    if settings.SMS_GATEWAY == "phones" and not settings.DEMO:
        hint = "Use console while trying, twilio for people."
        return [_error("E002", "The phones gateway belongs to the demo.", hint)]
    if settings.SMS_GATEWAY == "twilio" and not (
        settings.TWILIO_ACCOUNT_SID and settings.TWILIO_AUTH_TOKEN
    ):
        hint = "Set TWILIO_ACCOUNT_SID and TWILIO_AUTH_TOKEN."
        return [_error("E003", "The gateway has no credentials.", hint)]
    return []


@register(Tags.security)
def production_is_closed(app_configs: Any, **_: Any) -> list[CheckMessage]:
    """No developer's pages, no plain HTTP, where real texts leave."""
    found: list[CheckMessage] = []
    if settings.SMS_GATEWAY != "twilio" or settings.TWILIO_API_BASE:
        return found
    if settings.DEBUG:
        found.append(_error("E004", "DEBUG is on with real texts.", "Unset DEBUG."))
    if not settings.PUBLIC_URL.startswith("https://"):
        hint = "Set PUBLIC_URL to the https address the gateway calls."
        found.append(_error("E005", "PUBLIC_URL is not https.", hint))
    if not settings.DATABASE_URL:
        hint = "Fine for one clinic on one machine; set DATABASE_URL to grow."
        found.append(Warning("The database is SQLite.", hint=hint, id="clinic.W001"))
    return found


@register(Tags.urls)
def every_view_names_its_operation(app_configs: Any, **_: Any) -> list[CheckMessage]:
    """Deny by default: a door of ours without an operation is an error."""
    return [
        _error("E006", f"{route} names no operation.", "Mark it with doors.page.")
        for route, view in own_views()
        if not _marked(view)
    ]


def own_views() -> list[tuple[str, Any]]:
    """(route, view) of every URL that this project's own code answers."""
    return [
        (route, view)
        for route, view in _walk(get_resolver().url_patterns, "")
        if not view.__module__.split(".")[0].startswith(_OTHERS)
        and not _class_of(view).__module__.split(".")[0].startswith(_OTHERS)
    ]


def _class_of(view: Any) -> Any:
    return getattr(view, "cls", None) or getattr(view, "view_class", None) or view


def _marked(view: Any) -> bool:
    target = _class_of(view)
    return bool(
        getattr(target, "operation", None)
        or getattr(target, "public", None)
        or getattr(view, "operation", None)
        or getattr(view, "public", None)
    )


def _walk(patterns: Any, prefix: str) -> list[tuple[str, Any]]:
    found: list[tuple[str, Any]] = []
    for pattern in patterns:
        route = prefix + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            found += _walk(pattern.url_patterns, route)
        elif isinstance(pattern, URLPattern):
            found.append((route, pattern.callback))
    return found


def _error(number: str, message: str, hint: str) -> Error:
    return Error(message, hint=hint, id=f"clinic.{number}")
