"""The printed handout: the program in the client's language, with its cautions."""

from __future__ import annotations

import tomllib
from datetime import date, datetime
from functools import cache
from importlib.resources import files
from typing import Any

from django.utils import formats, translation

from clinic.models import Client
from programs import drawings, library, plans, prescribing
from programs.logic.dose import describe
from programs.models import HomeProgram
from programs.models import programs as states
from programs.plans import ItemPlan, ProgramPlan


def sheet(client: Client, program: HomeProgram | None, now: datetime) -> dict[str, Any]:
    """Everything the handout says, ready for the page."""
    language = client.language if client.language in words() else "en"
    plan = plans.of_revision(prescribing.current_revision(program)) if program else None
    said = _filled(client, plan, language, prescribing.local_day(client, now))
    held = program is not None and program.state in (states.HELD, states.PAUSED)
    return {
        "language": language,
        "said": said,
        "held": held,
        "items": [_item(one, plan, language) for one in plan.items] if plan else [],
        "stops": _stops(plan, language),
        "emergency_stop": library.phrases()["stop_if"]["emergency"][language],
    }


@cache
def words() -> dict[str, dict[str, str]]:
    """The handout's own words by language."""
    path = files("programs").joinpath("handout_words.toml")
    return tomllib.loads(path.read_text(encoding="utf-8"))


def _filled(
    client: Client, plan: ProgramPlan | None, language: str, today: date
) -> dict[str, str]:
    site = client.site
    values = {
        "clinician": client.clinician.name,
        "clinic": site.name,
        "emergency": site.emergency_number,
        "crisis": site.crisis_line,
        "phone": site.call_back_number,
        "date": _day(today, language),
        "review": _day(plan.review_on, language) if plan else "",
        "count": str(plan.times_per_day) if plan else "",
        "first": f"{plan.waking_from:%H:%M}" if plan else "",
        "last": f"{plan.waking_to:%H:%M}" if plan else "",
    }
    said = {
        name: template.format_map(values)
        for name, template in words()[language].items()
    }
    if plan and plan.times_per_day == 1:
        said["often"] = said["once"]
    return said


def _item(item: ItemPlan, plan: ProgramPlan, language: str) -> dict[str, Any]:
    exercise = library.load()[item.exercise]
    dose = plans.dose_of(item, plan.times_per_day)
    return {
        "text": exercise.text(language),
        "dose": describe(dose, language, form="long"),
        "drawing": drawings.inline(item.exercise, language),
        "cautions": exercise.text(language).cautions,
        "stops": _own_stops(item, plan, language),
    }


def _own_stops(item: ItemPlan, plan: ProgramPlan, language: str) -> list[str]:
    """The exercise's stop rules that do not stand on the whole sheet already."""
    shared = {*plan.stop_rules, "emergency"}
    keys = library.load()[item.exercise].stop_keys
    rules = library.phrases()["stop_if"]
    return [rules[key][language] for key in keys if key not in shared]


def _stops(plan: ProgramPlan | None, language: str) -> list[str]:
    rules = library.phrases()["stop_if"]
    keys = plan.stop_rules if plan else ()
    return [rules[key][language] for key in keys if key != "emergency"]


def _day(day: date, language: str) -> str:
    with translation.override(language):
        return formats.date_format(day, "DATE_FORMAT")
