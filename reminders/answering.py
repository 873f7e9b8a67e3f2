"""The answer to a client: one text every time, in their language, nothing repeated."""

from __future__ import annotations

import re
from datetime import datetime
from zoneinfo import ZoneInfo

from clinic.enrolling import phone_row
from clinic.models import Client, PhoneNumber, Site
from reminders import composing, escalating, hours, outbox
from reminders.logic.alert_policy import Reaction, says_nothing
from reminders.logic.moments import moment
from reminders.logic.reply import Reply
from reminders.logic.reply.normalize import fold
from reminders.logic.warning_signs import safety_family
from reminders.models import Inbound

_OTHER = frozenset({"other", "otro", "otra", "autre"})
_ME = frozenset({"me", "myself", "yo", "mi", "moi"})
_YES = frozenset({"yes", "si", "oui", "yes please", "si por favor", "oui merci"})


def answer(
    inbound: Inbound, client: Client, reply: Reply, does: Reaction, now: datetime
) -> None:
    """Put the answers that the policy chose into the outbox of this transaction."""
    phone = inbound.phone
    if phone is None or not phone.may_receive:
        return
    if does.safety_families:
        safety_texts(inbound, client, reply, now)
        return
    kind = does.answer_kind or "answer_question"
    reopens = opens(client, now) if kind.endswith("_closed") else ""
    if not reopens:
        kind = kind.removesuffix("_closed")
    text = composing.site_text(kind, client.site, client.language, opens=reopens)
    key = f"rep:{inbound.id}"
    outbox.put(text, key=key, phone=phone, now=now, client=client)


def safety_texts(inbound: Inbound, client: Client, reply: Reply, now: datetime) -> None:
    """One safety text a family of warning signs, before anything else leaves."""
    assert inbound.phone is not None
    for family in safety_family(reply.warnings):
        _safety(
            inbound, inbound.phone, client.site, client.language, family, now, client
        )


def safety_for_stranger(inbound: Inbound, reply: Reply, now: datetime) -> None:
    """Warning words from a number nobody has: the safety text, and page a person.

    The organization that owns the receiving number answers with its first site's
    numbers, because the text names no client and so no site.
    """
    site = Site.objects.order_by("name").first()
    if site is None or inbound.organization_id is None:
        return
    phone = inbound.phone or phone_row(inbound.organization_id, inbound.from_number)
    if phone.may_receive:
        for family in safety_family(reply.warnings):
            _safety(inbound, phone, site, "en", family, now, None)
    escalating.page_site(site, key=f"stranger:{inbound.id}", now=now)


def is_report(reply: Reply) -> bool:
    """Whether the reply carries anything for the record of sessions and symptoms."""
    said = (reply.completion, reply.pain, reply.overall, reply.shift)
    if any(value is not None for value in said):
        return True
    return bool(reply.areas or reply.pain_by_area or reply.sensation)


def says_something(reply: Reply) -> bool:
    """Whether the first answer says more than "ok"."""
    return not says_nothing(reply)


def is_plain_yes(body: str) -> bool:
    """YES alone: an opt-in word of the gateway when the number is opted out."""
    return fold(body).text.strip(" .!") in _YES


def is_about_other(body: str) -> bool:
    """Whether the answer to "about you or somebody else" clearly names another."""
    words = set(re.findall(r"[a-z]+", fold(body).text))
    return bool(words & _OTHER) and not words & _ME


def opens(client: Client, now: datetime) -> str:
    """When somebody reads it next, in the client's words: a weekday and an hour."""
    site = client.site
    at = hours.of(site).next_opening(now)
    if at is None:
        return ""
    local = at.astimezone(ZoneInfo(site.time_zone))
    return moment(local, language=client.language)


def _safety(
    inbound: Inbound,
    phone: PhoneNumber,
    site: Site,
    language: str,
    family: str,
    now: datetime,
    client: Client | None,
) -> None:
    text = composing.site_text(f"safety_{family}", site, language)
    outbox.put(
        text,
        key=f"saf:{inbound.id}:{family}",
        phone=phone,
        now=now,
        client=client,
        priority=outbox.SAFETY_PRIORITY,
    )
