"""What the demo's clinicians prescribe: a template that fits what they found."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from random import Random

from clinic.enrolling import Enrollment
from clinic.models import Client
from programs import plans, prescribing, stepping
from programs.logic.guards import LONGEST, SHORTEST
from programs.plans import PRECAUTIONS, ProgramPlan, Start
from reminders import enrolling
from reminders.demo.casting import DemoClient
from reminders.demo.founding import DemoClinic
from reminders.simulation.starting import StartingPoint

CONSENT = {
    "en": "Yes, text me about my home exercises. I know I can answer STOP at any time.",
    "es": "Sí, envíenme mensajes sobre mis ejercicios. Sé que puedo responder STOP.",
    "fr": "Oui, envoyez-moi des SMS sur mes exercices. Je peux répondre STOP.",
}
# Two or three texts a day are what most clients agree to (an invented scenario).
_OFTEN = (2, 2, 2, 3, 3, 4)
RISES_EVERY = 3  # clients whose clinician lets a hold rise within a range


def admit(
    client: DemoClient, clinic: DemoClinic, *, turn: int, now: datetime, rng: Random
) -> Client:
    """The front desk enrolls the client, and the clinician prescribes."""
    person, site = client.person, clinic.sites[client.site]
    treating = clinic.clinicians(site)
    clinician = treating[turn % len(treating)]
    details = Enrollment(
        name=person.name,
        number=person.phone,
        language=person.language,
        time_zone=person.zone,
        consent_wording=CONSENT[person.language],
    )
    row = enrolling.enroll(site, clinician, details, by=clinic.desk, now=now)
    version = clinic.templates[template_for(person.start, rng)]
    plan = plans.from_content(version.content, today=prescribing.local_day(row, now))
    plan = as_often(plan, rng.choice(_OFTEN))
    rises = turn % RISES_EVERY == 0
    program = prescribing.prescribe(
        row,
        ranged(plan) if rises else plan,
        start_of(person.start, rng),
        by=clinician,
        now=now,
        version=version,
    )
    for item in prescribing.current_revision(program).items.all():
        if item.hold_low is not None:
            stepping.approve(program, item.exercise, on=True, by=clinician, now=now)
    return row


def ranged(plan: ProgramPlan) -> ProgramPlan:
    """The plan with every usual hold pre-approved for 5 to 60 s."""
    items = tuple(
        replace(item, hold_low=SHORTEST, hold_high=LONGEST)
        if item.hold_seconds and SHORTEST <= item.hold_seconds <= LONGEST
        else item
        for item in plan.items
    )
    return replace(plan, items=items)


def template_for(start: StartingPoint, rng: Random) -> str:
    """The starter template that fits the direction, the side and the posture."""
    if start.lateral_shift and start.lateral_shift != start.side:
        return f"{start.lateral_shift}_shift_first"
    if start.directional_preference == "lateral":
        return "hips_left" if start.side == "right" else "hips_right"
    if start.directional_preference == "flexion":
        return "return_to_function"
    return "extension_progress" if rng.random() < 0.4 else "extension_first_steps"


def as_often(plan: ProgramPlan, times: int) -> ProgramPlan:
    """The plan with as many sessions a day as were agreed with the client."""
    times = min(times, plan.times_per_day)
    items = tuple(
        replace(item, times_per_day=min(item.times_per_day, times))
        if item.times_per_day
        else item
        for item in plan.items
    )
    return replace(plan, items=items, times_per_day=times)


def start_of(found: StartingPoint, rng: Random) -> Start:
    """The starting point as the clinician records it."""
    beyond = "" if found.area == "back" else found.area
    preference = found.directional_preference
    return Start(
        pain=float(found.pain),
        reach_left=beyond if found.side == "left" else "",
        reach_right=beyond if found.side == "right" else "",
        sensation=next(iter(found.sensation.values()), ""),
        directional_preference="none" if preference == "none_found" else preference,
        lateral_shift=found.lateral_shift or "",
        precautions={name: rng.random() < 0.05 for name in PRECAUTIONS},
    )
