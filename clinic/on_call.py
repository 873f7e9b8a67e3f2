"""Who can be paged at a site, and the sites whose clients nobody would be paged for."""

from __future__ import annotations

from django.db.models import Exists, OuterRef, Q, QuerySet

from clinic import access
from clinic.logic import duty_hours, roles
from clinic.models import Client, OnCallEntry, RoleGrant, Site
from clinic.models.clients import ENDED


def reachable(site: Site) -> list[OnCallEntry]:
    """The chain in order, without whoever has left or may not take an alert there.

    A page to a closed account reaches a telephone, yet nobody who could act on it.
    """
    people = access.clinicians_of(site).values("id")
    rows = OnCallEntry.objects.filter(site=site, staff__in=people)
    return list(rows.select_related("staff").order_by("position"))


def unwatched(sites: QuerySet[Site]) -> QuerySet[Site]:
    """Those of the sites that have clients and nobody who can be paged.

    A client counts until the texts have ended: the first text may be answered with
    an emergency.
    """
    may_act = RoleGrant.objects.filter(
        Q(site__isnull=True) | Q(site=OuterRef("site")),
        staff=OuterRef("staff"),
        role__in=roles.roles_for("alert.acknowledge"),
    )
    chain = OnCallEntry.objects.filter(
        Exists(may_act), site=OuterRef("pk"), staff__is_active=True
    )
    clients = Client.objects.filter(site=OuterRef("pk")).exclude(monitoring=ENDED)
    return sites.filter(Exists(clients), ~Exists(chain))


def uncovered(site: Site) -> str | None:
    """The first moment of the week with nobody on duty, as "Sun 03:00", or None.

    Then everybody on the chain is paged in turn, on duty or not.
    """
    people = reachable(site)
    if not people:
        return None
    return duty_hours.first_gap(duty_hours.parse(entry.hours) for entry in people)
