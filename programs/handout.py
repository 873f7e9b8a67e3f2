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
        "items": _items(plan, language) if plan else [],
        "cautions": _sentences("caution", _shared_cautions(plan), language),
        "stops": _sentences("stop_if", _stops(plan), language),
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


def _items(plan: ProgramPlan, language: str) -> list[dict[str, Any]]:
    shared = _shared_cautions(plan)
    return [_item(one, plan, language, shared) for one in plan.items]


def _item(
    item: ItemPlan, plan: ProgramPlan, language: str, shared: list[str]
) -> dict[str, Any]:
    exercise = library.load()[item.exercise]
    dose = plans.dose_of(item, plan.times_per_day)
    own = [key for key in exercise.caution_keys if key not in shared]
    return {
        "text": exercise.text(language),
        "dose": describe(dose, language, form="long"),
        "drawing": drawings.inline(item.exercise, language),
        "cautions": _sentences("caution", own, language),
    }


def _shared_cautions(plan: ProgramPlan | None) -> list[str]:
    """Cautions of every exercise: said once, so that the sheet stays short."""
    if plan is None:
        return []
    first, *others = (library.load()[one.exercise] for one in plan.items)
    return [
        key
        for key in first.caution_keys
        if all(key in other.caution_keys for other in others)
    ]


def _stops(plan: ProgramPlan | None) -> list[str]:
    """The program's stop rules, then those of its exercises, each once.

    The emergency rule is left out here: it stands at the head of the sheet.
    """
    if plan is None:
        return []
    exercises = (library.load()[one.exercise] for one in plan.items)
    keys = [*plan.stop_rules, *(key for one in exercises for key in one.stop_keys)]
    return [key for key in dict.fromkeys(keys) if key != "emergency"]


def _sentences(kind: str, keys: list[str], language: str) -> list[str]:
    return [library.phrases()[kind][key][language] for key in keys]


def _day(day: date, language: str) -> str:
    with translation.override(language):
        return formats.date_format(day, "DATE_FORMAT")
