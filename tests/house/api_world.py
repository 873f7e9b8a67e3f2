"""Rows of one site for walking the API: one of everything an address can name."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

from django.urls import URLPattern, URLResolver, get_resolver

from clinic import pairing, scope, staffing
from clinic.endpoints import METHODS, Contract, Endpoint
from clinic.models import Client, Site, Staff
from programs import (
    considering,
    measuring,
    prescribing,
    publishing,
    reporting,
    stepping,
)
from programs.logic.reports import SymptomReport
from programs.models import HoldStep, HomeProgram
from reminders import alerting, desk
from reminders.logic.findings import Finding
from tests.api import plan_json, start_json, template_plan_json
from tests.cast import CONSENT, NOW, enroll, plan, prescribe

DAY = "2026-03-20"
RANGED = (replace(plan().items[0], hold_low=5, hold_high=60), plan().items[1])
SUGGESTED = {
    "row": "11",
    "action": "keep",
    "sentence": "It works as it is.",
    "would_change": "Three days without change.",
    "source": "Common practice",
    "exercise_code": None,
    "target_code": None,
    "dose": None,
}


@dataclass(frozen=True)
class Rows:
    """The ids of one site's rows, by the names addresses use."""

    site: Site
    clinician: Staff
    client: Client
    ids: dict[str, Any]


@dataclass(frozen=True)
class Call:
    """One method of one address, and what it promises."""

    method: str
    route: str
    contract: Contract

    def path(self, rows: Rows) -> str:
        """The address with the rows' ids in it."""
        found = self.route
        for name, value in rows.ids.items():
            for kind in ("uuid", "str"):
                found = found.replace(f"<{kind}:{name}>", str(value))
        assert "<" not in found, f"no row for {found}"
        return found

    @property
    def names_a_row(self) -> bool:
        return "<uuid:" in self.route


def calls() -> Iterator[Call]:
    """Every method of every address under /api/v1/, in the order of the addresses."""
    for route, view in _endpoints(get_resolver().url_patterns, ""):
        for method in METHODS:
            contract = view.contract(method)
            if contract is not None:
                yield Call(method, route.removeprefix("api/v1/"), contract)


def _endpoints(patterns: Any, prefix: str) -> Iterator[tuple[str, type[Endpoint]]]:
    for pattern in patterns:
        route = prefix + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from _endpoints(pattern.url_patterns, route)
        elif isinstance(pattern, URLPattern) and route.startswith("api/v1/"):
            view = getattr(pattern.callback, "cls", None)
            if view is not None and issubclass(view, Endpoint):
                yield route, view


def rows_of(site: Site, clinician: Staff, client: Client) -> Rows:
    """One of everything at a site, made by the writers."""
    with scope.within(site.organization_id):
        program = prescribe(client, clinician, items=RANGED)
        step = _stepped(program, clinician)
        considering.keep(program, SUGGESTED, now=NOW)
        kept = considering.open_of(client)
        report = reporting.record_in_person(
            client,
            SymptomReport(at=NOW - timedelta(hours=1), pain=4),
            program=program,
            key=str(uuid4()),
            by=clinician,
            now=NOW,
        )
        outcome = measuring.record_in_clinic(
            client,
            "nprs",
            {"pain": 4},
            at=NOW,
            key=str(uuid4()),
            by=clinician,
            now=NOW,
        )
        found = [Finding("spreading", "same_day")]
        alert = alerting.raise_alert(client, found, now=NOW)
        task = desk.open_task("call", client=client, now=NOW)
        draft = publishing.draft_template(
            f"Draft of {site.name}", plan(), review_after_days=9, by=clinician, now=NOW
        )
        token, _ = pairing.issue(clinician, "phone", now=NOW)
        role = staffing.grant(clinician, "front_desk", site, by="setup", now=NOW)
    assert alert is not None
    assert kept is not None
    return Rows(
        site=site,
        clinician=clinician,
        client=client,
        ids={
            "site_id": site.id,
            "client_id": client.id,
            "program_id": program.id,
            "report_id": report.id,
            "outcome_id": outcome.id,
            "alert_id": alert.id,
            "task_id": task.id,
            "suggestion_id": kept.id,
            "step_id": step.id,
            "template_id": draft.template_id,
            "version_id": draft.id,
            "staff_id": clinician.id,
            "grant_id": role.id,
            "token_id": token.id,
            "day": DAY,
            "code": "press_up",
        },
    )


def _stepped(program: HomeProgram, clinician: Staff) -> HoldStep:
    """A hold that rose to what the program says now."""
    approval = stepping.approve(
        program, "prone_on_elbows", on=True, by=clinician, now=NOW
    )
    return HoldStep.objects.create(
        organization_id=program.organization_id,
        program=program,
        approval=approval,
        revision=prescribing.current_revision(program),
        exercise="prone_on_elbows",
        before=20,
        after=30,
        at=NOW,
    )


def far_client(site: Site, clinician: Staff) -> Client:
    """A client of another site or organization, on another number."""
    with scope.within(site.organization_id):
        return enroll(site, clinician, number="+12125550117", name="Far Away")


def lighter() -> dict[str, Any]:
    """The program with one exercise less."""
    return plan_json(items=plan_json()["items"][:1])


def body(name: str, rows: Rows) -> Any:
    """A body the contract takes, naming rows of the same site; None for none."""
    reduction = {"kind": "reduce", "note": "less", "plan": lighter()}
    site = str(rows.site.id)
    bodies: dict[str, Any] = {
        "issue_token": {"device": "laptop"},
        "open_site": _site(name="Mill Lane", short_name="Mill Lane"),
        "change_site": {"crisis_line": "988"},
        "close_site": {"note": "Floors"},
        "set_on_call": {
            "chain": [{"staff": str(rows.clinician.id), "number": "+12025550195"}]
        },
        "add_staff": {"name": "New Person", "email": "new.person@harrow.example"},
        "grant_role": {"role": "front_desk", "site": site},
        "change_contact": {"language": "es"},
        "find_clients": {"number": "202 555 0143", "site": site},
        "enroll_client": {
            "site": site,
            "clinician": str(rows.clinician.id),
            "name": "Mara Quill",
            "number": "+12025550166",
            "language": "en",
            "time_zone": "America/New_York",
            "consent_wording": CONSENT,
        },
        "change_number": {"number": "+12025550167"},
        "draft_template": {"name": "Walk", "plan": template_plan_json()},
        "draft_template_version": {"plan": template_plan_json()},
        "prescribe": {"plan": plan_json(), "start": start_json()},
        "revise_program": {"plan": lighter(), "reason": "less to do"},
        "pause_program": {"until": DAY},
        "answer_suggestion": {"answer": "decline", "reason": "not yet"},
        "approve_hold": {"exercise": "prone_on_elbows", "on": True},
        "fix_load": {"level": "few"},
        "record_report": {"key": str(uuid4()), "at": NOW.isoformat(), "pain": 3},
        "void_report": {"reason": "Another person's"},
        "record_outcome": {
            "key": str(uuid4()),
            "measure": "rmdq",
            "at": NOW.isoformat(),
            "answers": {"ticked": [1, 4]},
        },
        "void_outcome": {"reason": "Another person's"},
        "ask_outcome": {"measure": "nprs"},
        "snooze_alert": {"until": "2026-03-10", "reason": "Away until then"},
        "decide_alert": reduction,
        "decide_client": reduction,
        "send_message": {"body": "Please call us back today."},
        "preview_message": {"body": "Please call us back today."},
    }
    return bodies.get(name)


def _site(**changes: Any) -> dict[str, Any]:
    values: dict[str, Any] = {
        "time_zone": "America/New_York",
        "region": "US",
        "language": "en",
        "emergency_number": "911",
        "crisis_line": "988",
        "call_back_number": "202-555-0111",
        "hours": {"0": [["08:00", "18:00"]]},
        "quiet_from": "21:00",
        "quiet_to": "08:00",
    }
    return values | changes


def random_ids(rows: Rows) -> Rows:
    """The same addresses with ids that never existed."""
    strange = {
        name: uuid4() if isinstance(value, UUID) else value
        for name, value in rows.ids.items()
    }
    return Rows(rows.site, rows.clinician, rows.client, strange)
