"""Checks of a plan that upper apps register: what this app alone cannot judge.

A check is asked before a program or a template is saved and raises BadInput naming
the culprit. Its field is one of the plan's own, such as "items.0.exercise".
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from clinic.models import Client, Site
from programs.logic.exercises import LANGUAGES
from programs.plans import ProgramPlan


@dataclass(frozen=True, slots=True)
class Audience:
    """Who a plan's texts are for: the clinic's short name and the language."""

    clinic: str
    language: str


Check = Callable[[ProgramPlan, Audience], None]
CHECKS: list[Check] = []


def register(check: Check) -> None:
    """Add a check; called once by an upper app's start-up."""
    if check not in CHECKS:
        CHECKS.append(check)


def for_client(plan: ProgramPlan, client: Client) -> None:
    """Ask every check for the one client the plan is for; raises BadInput."""
    _ask(plan, [audience_of(client)])


def for_everyone(plan: ProgramPlan) -> None:
    """Ask every check for each site and language of the organization in scope."""
    names = set(Site.objects.values_list("short_name", flat=True))
    _ask(plan, [Audience(name, code) for name in sorted(names) for code in LANGUAGES])


def audience_of(client: Client) -> Audience:
    """The audience one client is."""
    return Audience(client.site.short_name, client.language)


def _ask(plan: ProgramPlan, audiences: Iterable[Audience]) -> None:
    for audience in audiences:
        for check in CHECKS:
            check(plan, audience)
